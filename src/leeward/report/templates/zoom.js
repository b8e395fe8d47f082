// The page is whole without this: it only lets drawings be zoomed.
for (const view of document.querySelectorAll("figure .view")) zoomable(view);

function zoomable(view) {
  const most = 12, step = 1.3;
  const svg = view.querySelector("svg");
  let scale = 1, whole = 0, pinch = 0, drag = null;

  function zoom(to, x, y) {
    if (scale === 1) whole = svg.getBoundingClientRect().width;
    to = Math.min(Math.max(to, 1), most);
    if (to === scale) return;
    if (scale === 1) view.style.height = view.clientHeight + "px";
    const box = view.getBoundingClientRect();
    x = x === undefined ? box.width / 2 : x - box.left;
    y = y === undefined ? box.height / 2 : y - box.top;
    const across = (view.scrollLeft + x) / scale, down = (view.scrollTop + y) / scale;
    scale = to;
    svg.style.width = scale === 1 ? "" : whole * scale + "px";
    if (scale === 1) view.style.height = "";
    view.scrollLeft = across * scale - x;
    view.scrollTop = down * scale - y;
    view.classList.toggle("grab", scale > 1);
  }

  const apart = (touches) => Math.hypot(touches[0].clientX - touches[1].clientX, touches[0].clientY - touches[1].clientY);
  view.addEventListener("touchstart", (event) => {
    if (event.touches.length !== 2) return;
    event.preventDefault();
    pinch = apart(event.touches) / scale;
  }, { passive: false });
  view.addEventListener("touchmove", (event) => {
    if (event.touches.length !== 2 || !pinch) return;
    event.preventDefault();
    const [a, b] = event.touches;
    zoom(apart(event.touches) / pinch, (a.clientX + b.clientX) / 2, (a.clientY + b.clientY) / 2);
  }, { passive: false });
  view.addEventListener("touchend", () => (pinch = 0));

  // A wheel scrolls the page unless the drawing was chosen, or Ctrl is held.
  view.addEventListener("wheel", (event) => {
    if (!event.ctrlKey && !event.metaKey && document.activeElement !== view) return;
    event.preventDefault();
    zoom(scale * Math.exp(-event.deltaY / 400), event.clientX, event.clientY);
  }, { passive: false });
  view.addEventListener("keydown", (event) => {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    const to = { "+": scale * step, "=": scale * step, "-": scale / step, "0": 1 }[event.key];
    if (to === undefined) return;
    event.preventDefault();
    zoom(to);
  });

  view.addEventListener("pointerdown", (event) => {
    if (event.pointerType !== "mouse" || event.button !== 0 || scale === 1) return;
    drag = { x: event.clientX + view.scrollLeft, y: event.clientY + view.scrollTop };
  });
  addEventListener("pointermove", (event) => {
    if (drag) view.scrollTo(drag.x - event.clientX, drag.y - event.clientY);
  });
  addEventListener("pointerup", () => (drag = null));
  view.addEventListener("dragstart", (event) => event.preventDefault());
  addEventListener("resize", () => zoom(1));

  view.scrollLeft = (view.scrollWidth - view.clientWidth) / 2;
  tools(view, (way) => zoom(way ? scale * step ** way : 1));
}

function tools(view, turn) {
  const bar = document.createElement("span");
  bar.className = "tools";
  for (const [sign, name, way] of [["+", "Zoom in", 2], ["\u2212", "Zoom out", -2], ["whole", "Show the whole drawing", 0]]) {
    const button = document.createElement("button");
    button.type = "button";
    button.textContent = sign;
    button.setAttribute("aria-label", name);
    button.addEventListener("click", () => turn(way));
    bar.append(button);
  }
  view.parentElement.querySelector(".hint").append(bar, "Zoom: two fingers, + and \u2212, or the wheel once the drawing was clicked.");
}
