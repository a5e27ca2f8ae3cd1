// What scrolls can be reached by keyboard, and says what it is; what fits is no stop on the way.
function markScrolling() {
  for (const box of document.querySelectorAll(".scroll")) {
    if (box.scrollWidth > box.clientWidth + 1) {
      box.tabIndex = 0;
      box.setAttribute("role", "group");
      box.setAttribute("aria-labelledby", box.querySelector("table").getAttribute("aria-labelledby"));
    } else {
      for (const name of ["tabindex", "role", "aria-labelledby"]) box.removeAttribute(name);
    }
  }
}
markScrolling();
addEventListener("resize", markScrolling);
document.addEventListener("toggle", markScrolling, true);
