// What the frame does besides: no form sent twice, and a word when the line is gone. Without it all works.
(() => {
  "use strict";
  document.addEventListener("submit", (event) => {
    const form = event.target;
    if (event.defaultPrevented || form.method !== "post") return;
    if (form.dataset.sent) { event.preventDefault(); return; }
    form.dataset.sent = "yes";
    setTimeout(() => { delete form.dataset.sent; }, 8000);
  });
  window.addEventListener("pageshow", () => {
    for (const form of document.querySelectorAll("form[data-sent]")) delete form.dataset.sent;
  });
  const noLine = document.getElementById("no-line");
  const show = (gone) => { if (noLine) noLine.hidden = !gone; };
  window.addEventListener("offline", () => show(true));
  window.addEventListener("online", () => show(false));
  document.addEventListener("htmx:sendError", () => show(true));
  document.addEventListener("htmx:afterRequest", (event) => { if (event.detail.successful) show(false); });
  const problems = document.getElementById("problems");
  if (problems) problems.focus();
})();
