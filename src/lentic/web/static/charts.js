// Reads a chart out under a pointer or under the arrow keys; the table below holds the same numbers without it.
"use strict";
for (const figure of document.querySelectorAll(".look")) {
  const points = JSON.parse(figure.dataset.points);
  const told = figure.querySelector("output");
  if (!points.length) { continue; }
  let at = points.length - 1;
  const drawing = () => [...figure.querySelectorAll("svg")].find((svg) => svg.getBoundingClientRect().width > 0);
  const show = (place) => {
    at = Math.min(Math.max(place, 0), points.length - 1);
    for (const cross of figure.querySelectorAll(".cross")) {
      const left = Number(cross.dataset.left);
      const x = left + points[at][0] * (Number(cross.dataset.right) - left);
      cross.setAttribute("x1", x);
      cross.setAttribute("x2", x);
      cross.classList.add("on");
    }
    told.textContent = points[at][1];
  };
  figure.tabIndex = 0;
  figure.setAttribute("role", "group");
  figure.setAttribute("aria-label", "Chart: left and right arrow read it out");
  figure.addEventListener("pointermove", (event) => {
    const svg = drawing();
    const cross = svg && svg.querySelector(".cross");
    if (!cross) { return; }
    const box = svg.getBoundingClientRect();
    const x = (event.clientX - box.left) / box.width * svg.viewBox.baseVal.width;
    const left = Number(cross.dataset.left);
    const share = (x - left) / (Number(cross.dataset.right) - left);
    let best = 0;
    points.forEach((point, place) => { if (Math.abs(point[0] - share) < Math.abs(points[best][0] - share)) { best = place; } });
    show(best);
  });
  figure.addEventListener("focus", () => show(at));
  figure.addEventListener("keydown", (event) => {
    const step = { ArrowLeft: -1, ArrowRight: 1, PageUp: -10, PageDown: 10, Home: -points.length, End: points.length }[event.key];
    if (step === undefined) { return; }
    event.preventDefault();
    show(at + step);
  });
}
