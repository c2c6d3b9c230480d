// Small helps that every page has; without them every form still works as a plain form.
"use strict";

// Typed work is never lost: a form marked data-draft keeps its fields on this device until it is sent and kept.
const draftKey = (form) => "draft:" + (form.dataset.draft || form.action || location.pathname);
function restoreDraft(form) {
  let kept;
  try { kept = JSON.parse(localStorage.getItem(draftKey(form)) || "null"); } catch { kept = null; }
  if (!kept || form.querySelector(".wrong")) return;
  let any = false;
  for (const [name, value] of Object.entries(kept)) {
    const field = form.elements.namedItem(name);
    if (field && "value" in field && field.type !== "file" && !field.value && value) {
      field.value = value;
      any = true;
      field.dispatchEvent?.(new Event("input", { bubbles: true }));
    }
  }
  if (any) {
    const note = document.createElement("p");
    note.className = "hint";
    note.textContent = "Your unfinished words are still here. ";
    const away = document.createElement("button");
    away.type = "button"; away.className = "plain"; away.textContent = "Throw them away";
    away.onclick = () => { localStorage.removeItem(draftKey(form)); form.reset(); note.remove(); };
    note.append(away);
    form.prepend(note);
  }
}
function keepDraft(form) {
  const kept = {};
  for (const field of form.elements) {
    if (!field.name || ["hidden", "file", "password", "checkbox", "radio", "submit"].includes(field.type) || field.tagName === "SELECT") continue;
    if (field.value) kept[field.name] = field.value;
  }
  if (Object.keys(kept).length) localStorage.setItem(draftKey(form), JSON.stringify(kept));
  else localStorage.removeItem(draftKey(form));
}
document.addEventListener("input", (event) => {
  const form = event.target.form;
  if (form && "draft" in form.dataset) keepDraft(form);
});
// A form that comes back with an error keeps its draft; any other answer to it means that it was kept.
function forgetSentDraft() {
  const sent = sessionStorage.getItem("sent-draft");
  if (!sent) return;
  sessionStorage.removeItem("sent-draft");
  if (!document.querySelector("main .wrong")) localStorage.removeItem(sent);
}
document.addEventListener("DOMContentLoaded", () => {
  forgetSentDraft();
  document.querySelectorAll("form[data-draft]").forEach(restoreDraft);
  // Where the slips are wider than the page, the one we are on is in sight.
  document.querySelectorAll(".slips [aria-current], .way [aria-current]").forEach((slip) => {
    slip.parentElement.scrollLeft = slip.offsetLeft - slip.parentElement.offsetLeft - 14;
  });
});
document.addEventListener("submit", (event) => {
  const form = event.target;
  if ("draft" in form.dataset) sessionStorage.setItem("sent-draft", draftKey(form));
  // One press sends once; the button wakes again if the page is come back to.
  if (form.method === "post") setTimeout(() => form.querySelectorAll("button").forEach((button) => { button.disabled = true; }), 0);
});
window.addEventListener("pageshow", () => {
  document.querySelectorAll("form button[disabled]").forEach((button) => { button.disabled = false; });
  forgetSentDraft();
});
// A line is one line in the books, but is seen whole while it is said: its box grows, and Enter sends it.
const grow = (box) => {
  if (CSS.supports("field-sizing", "content")) return;
  box.style.height = "auto";
  box.style.height = `${box.scrollHeight}px`;
};
document.addEventListener("DOMContentLoaded", () => document.querySelectorAll("textarea[data-one-line]").forEach(grow));
document.addEventListener("input", (event) => {
  if (!event.target.matches("textarea[data-one-line]")) return;
  if (/[\r\n]/.test(event.target.value)) event.target.value = event.target.value.replace(/\s*[\r\n]+\s*/g, " ");
  grow(event.target);
}, true);
document.addEventListener("keydown", (event) => {
  if (event.key !== "Enter" || event.isComposing || !event.target.matches("textarea[data-one-line]")) return;
  event.preventDefault();
  event.target.form.requestSubmit();
});
// A list chosen from sends its form at once where the form says so.
document.addEventListener("change", (event) => {
  if (event.target.form && "sendOnChange" in event.target.form.dataset) event.target.form.requestSubmit();
});
// An address that points into something folded opens it.
const unfold = () => {
  const there = location.hash && document.getElementById(location.hash.slice(1));
  for (let box = there && there.closest("details"); box; box = box.parentElement.closest("details")) {
    if (!box.open) { box.open = true; there.scrollIntoView(); }
  }
};
addEventListener("hashchange", unfold);
addEventListener("DOMContentLoaded", unfold);
