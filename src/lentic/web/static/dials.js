// Dials that answer while they are turned; without this file the form asks for a page of its own.
"use strict";
const form = document.querySelector(".dials");
if (form) {
  let waiting = null;
  let running = null;
  const ask = async () => {
    if (running) { running.abort(); }
    running = new AbortController();
    const turned = new URLSearchParams();
    for (const field of form.querySelectorAll("input[name]")) {
      if (field.value !== field.dataset.now) { turned.set(field.name, field.value); }
    }
    const address = `/decide?${turned}`;
    const begun = performance.now();
    document.querySelectorAll(".live").forEach((each) => each.classList.add("waits"));
    try {
      const answer = await fetch(address, { headers: { Accept: "text/html" }, signal: running.signal });
      const page = new DOMParser().parseFromString(await answer.text(), "text/html");
      for (const name of ["live", "live-charts"]) {
        const fresh = page.getElementById(name);
        const old = document.getElementById(name);
        if (fresh && old) { old.replaceWith(fresh); }
      }
      const seconds = (performance.now() - begun) / 1000;
      const took = document.getElementById("took");
      took.textContent = `Answered in ${seconds.toFixed(1)} s.`;
      took.dataset.seconds = seconds.toFixed(3);
      history.replaceState(null, "", address);
    } catch (error) {
      if (error.name === "AbortError") { return; }
      document.getElementById("took").textContent = "The server did not answer. Your log is untouched.";
    }
    document.querySelectorAll(".live").forEach((each) => each.classList.remove("waits"));
  };
  const soon = () => { clearTimeout(waiting); waiting = setTimeout(ask, 120); };
  for (const range of form.querySelectorAll("input[type=range]")) {
    const field = document.getElementById(range.dataset.for);
    range.hidden = false;
    range.addEventListener("input", () => { field.value = range.value; soon(); });
    field.addEventListener("input", () => { range.value = field.value; soon(); });
  }
  // A dial left where it is: the server takes the tank to hand, so that the first turn is answered as fast as the next.
  const still = form.querySelector("input[name]");
  if (still) { fetch(`/decide?${still.name}=${still.dataset.now}`, { headers: { Accept: "text/html" } }).catch(() => {}); }
  form.addEventListener("submit", (event) => { event.preventDefault(); ask(); });
}
