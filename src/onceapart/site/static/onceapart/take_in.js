// "Line 12" of a problem leads to that line of the pasted text.
(() => {
  "use strict";
  const text = document.getElementById("text");
  if (!text) return;
  for (const link of document.querySelectorAll("a[data-line]")) {
    link.addEventListener("click", (event) => {
      event.preventDefault();
      const lines = text.value.split("\n"), at = Number(link.dataset.line) - 1;
      const start = lines.slice(0, at).reduce((sum, line) => sum + line.length + 1, 0);
      text.focus();
      text.setSelectionRange(start, start + (lines[at] || "").length);
      text.scrollTop = Math.max(0, (at - 4) * (text.scrollHeight / lines.length));
    });
  }
})();
