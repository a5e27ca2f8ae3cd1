"""Nothing hides: no module keeps a value that can change, and what is finished stays frozen."""

import ast

from tests.house.tree import Module, each, package_modules

MODULES = package_modules()
everywhere = each(MODULES)

_DISPLAYS = (ast.List, ast.Dict, ast.Set, ast.ListComp, ast.DictComp, ast.SetComp)
_MAKERS = frozenset(
    {"list", "dict", "set", "bytearray", "defaultdict", "OrderedDict", "Counter", "deque", "count"}
    | {"array", "asarray", "zeros", "ones", "empty", "full", "arange", "linspace"}
    | {"Generator", "default_rng", "ContextVar", "WeakValueDictionary", "local"}
)
#: In these rooms things move while a line runs.
MOVING = frozenset({"engine", "ledger", "draws"})


def can_change(value: ast.expr | None) -> bool:
    """Return whether an expression makes something that can be changed afterwards."""
    if isinstance(value, _DISPLAYS):
        return True
    if isinstance(value, ast.Call):
        name = value.func.attr if isinstance(value.func, ast.Attribute) else getattr(value.func, "id", "")
        return name in _MAKERS
    return False


def assigned(body: list[ast.stmt]) -> list[tuple[str, ast.expr | None, bool]]:
    """Return name, value and whether annotated, of the plain assignments in a body."""
    found: list[tuple[str, ast.expr | None, bool]] = []
    for item in body:
        if isinstance(item, ast.Assign):
            found += [(ast.unparse(target), item.value, False) for target in item.targets]
        elif isinstance(item, ast.AnnAssign):
            found.append((ast.unparse(item.target), item.value, True))
        elif isinstance(item, ast.If | ast.Try):
            found += assigned(item.body)
    return found


def test_the_check_sees_what_can_change() -> None:
    """Lists, dictionaries, sets, arrays and counters count as changeable; tuples and frozen views do not."""
    seen = {code: can_change(ast.parse(code, mode="eval").body) for code in (
        "[1]", "{}", "{1: 2}", "{1}", "[a for a in b]", "dict(a=1)", "np.zeros(3)", "itertools.count()",
        "(1, 2)", "frozenset({1})", "MappingProxyType({1: 2})", "1.5", "'text'", "re.compile('a')",
    )}  # fmt: skip
    assert [code for code, is_seen in seen.items() if is_seen] == list(seen)[:8]


@everywhere
def test_no_module_keeps_state(module: Module) -> None:
    """A module-level name is never bound to a list, dictionary, set, array or generator."""
    wrong = [
        f"{module}: {name}"
        for name, value, _ in assigned(module.tree.body)
        if can_change(value) and name != "__all__"
    ]
    assert not wrong


@everywhere
def test_no_class_shares_state(module: Module) -> None:
    """A class body never binds a plain name to something that all its instances would share and change."""
    wrong = [
        f"{module}: {item.name}.{name}"
        for item in module.nodes
        if isinstance(item, ast.ClassDef)
        for name, value, annotated in assigned(item.body)
        if can_change(value) and not annotated and name not in {"__slots__", "model_config"}
    ]
    assert not wrong


@everywhere
def test_no_function_rebinds_a_module_name(module: Module) -> None:
    """The word ``global`` stands nowhere."""
    assert not [f"{module}:{item.lineno}" for item in module.nodes if isinstance(item, ast.Global)]


@everywhere
def test_data_is_frozen(module: Module) -> None:
    """Outside the rooms where things move every dataclass is frozen."""
    if module.room in MOVING:
        return
    wrong = []
    for item in module.nodes:
        if not isinstance(item, ast.ClassDef):
            continue
        for decorator in item.decorator_list:
            text = ast.unparse(decorator)
            if text.startswith(("dataclass", "dataclasses.dataclass")) and "frozen=True" not in text:
                wrong.append(f"{module}:{item.lineno} {item.name}")
    assert not wrong
