"use strict";
// The page is whole without this: it only keeps the map where it is while a part's short review opens beside it.
{
  let at = null;
  const beside = matchMedia("(min-width:60.01rem)");
  addEventListener("click", (event) => {
    const link = event.target.closest(".maps a, .panel a");
    at = link && beside.matches ? [scrollX, scrollY] : null;
  });
  addEventListener("hashchange", () => {
    if (!at) return;
    scrollTo(...at);
    const card = document.querySelector(".card:target");
    if (card) { card.parentElement.scrollTop = 0; card.focus({ preventScroll: true }); }
    at = null;
  });
}
