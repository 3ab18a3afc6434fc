// Comforts only: every page works without this file.
"use strict";

// Long work: fetch the page again and put the new bar in place; load it once when the work is done.
const busy = document.body.dataset.busy;
if (busy) {
  const look = async () => {
    try {
      const answer = await fetch(location.href, { headers: { Accept: "text/html" } });
      const page = new DOMParser().parseFromString(await answer.text(), "text/html");
      if (!page.body.dataset.busy) { location.reload(); return; }
      const fresh = page.getElementById("working");
      const old = document.getElementById("working");
      if (fresh && old) { old.replaceWith(fresh); }
    } catch { /* the server rests: the next look tells */ }
    setTimeout(look, 2000);
  };
  setTimeout(look, 1500);
}

// A press counts once: wet glass presses twice.
document.addEventListener("submit", (event) => {
  const form = event.target;
  if (form.dataset.sent) { event.preventDefault(); return; }
  form.dataset.sent = "yes";
  setTimeout(() => { delete form.dataset.sent; }, 1000);
});

// Files can be dropped where they can be chosen.
for (const place of document.querySelectorAll("[data-drop]")) {
  const field = place.querySelector("input[type=file]");
  place.addEventListener("dragover", (event) => { event.preventDefault(); place.classList.add("over"); });
  place.addEventListener("dragleave", () => place.classList.remove("over"));
  place.addEventListener("drop", (event) => {
    event.preventDefault();
    place.classList.remove("over");
    field.files = event.dataTransfer.files;
    field.dispatchEvent(new Event("change", { bubbles: true }));
  });
}

// Minus and plus beside an amount.
document.addEventListener("click", (event) => {
  const step = event.target.closest("[data-step]");
  if (!step) { return; }
  const field = document.getElementById(step.dataset.for);
  const digits = (field.step.split(".")[1] || "").length;
  const value = Number(field.value || 0) + Number(step.dataset.step);
  field.value = Math.max(Number(field.min || 0), value).toFixed(digits);
});

// The browser knows its time zone.
for (const field of document.querySelectorAll("[data-zone]")) {
  if (!field.value) { field.value = Intl.DateTimeFormat().resolvedOptions().timeZone || ""; }
}

// A folded part that is meant by the address is opened.
const meant = location.hash ? document.getElementById(location.hash.slice(1)) : null;
if (meant && meant.tagName === "DETAILS") { meant.open = true; }
