// Enter goes to the next reading, as a caliper's button asks; behind the last one lies what was found.
"use strict";
(() => {
  const form = document.querySelector("form.measure");
  if (!form) return;
  const fields = () => [...form.querySelectorAll("input:not([type=hidden])")]
    .filter((field) => field.offsetParent && !field.closest("details:not([open])") && (field.type !== "radio" || field.checked || !form.querySelector(`[name="${field.name}"]:checked`)));
  form.addEventListener("keydown", (event) => {
    const field = event.target;
    if (event.key !== "Enter" || field.tagName !== "INPUT" || event.ctrlKey || event.metaKey) return;
    event.preventDefault();
    const all = fields();
    const next = all[all.indexOf(field) + 1];
    if (next) {
      next.focus();
      if (next.type === "text") next.select();
    } else {
      document.getElementById("found")?.focus();
    }
  });
})();
