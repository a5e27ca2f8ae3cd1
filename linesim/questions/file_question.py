"""Questions of a file of figures, declared as those of a line are."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Annotated, Any, ClassVar, ParamSpec, cast

from linesim.questions.declare import Declared, docstring
from linesim.questions.parameter import Parameter

if TYPE_CHECKING:
    from linesim.answers.document import Document

Asked = ParamSpec("Asked")


@dataclass(frozen=True, kw_only=True)
class FileQuestion(Declared):
    """What a question can be told that is about a file of figures; its first field names the file."""

    needs_line: ClassVar[bool] = False
    #: Fields that name a file that is there, which the answer changes; `text_of` gives its new text.
    changes: ClassVar[tuple[str, ...]] = ()

    confidence: Annotated[
        float,
        Parameter("confidence of the intervals: 0.95, 95 and 95% are the same", "P", form="share", least=0.5,
               such="0.95 or 95%", by_default="95"),
    ] = 0.95  # fmt: skip
    progress: Annotated[
        Any, Parameter("called with how much is done, and of how much", flag="-", decides=False)
    ] = None


def function_of_file(question: Callable[Asked, FileQuestion]) -> Callable[Asked, Document]:
    """Return the Python function of a question of a file: it takes what the question takes."""
    declared = cast("type[FileQuestion]", question)

    def function(*args: Asked.args, **kwargs: Asked.kwargs) -> Document:
        return question(*args, **kwargs).answer(None)

    function.__name__ = function.__qualname__ = declared.name
    function.__doc__ = docstring(declared, takes_line=False)
    function.__module__ = declared.__module__
    return function
