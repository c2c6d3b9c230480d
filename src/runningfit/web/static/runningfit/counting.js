// Counting back: each count gets a minus, a plus and "all", so that a thumb can count; typing works as well.
"use strict";
document.querySelectorAll("form[data-counting] input[data-count]").forEach((input) => {
  const name = input.labels[0].textContent.replace("Counted: ", "");
  const set = (value) => {
    input.value = String(Math.max(0, value));
    input.dispatchEvent(new Event("input", { bubbles: true }));
  };
  const button = (words, spoken, act) => {
    const made = document.createElement("button");
    made.type = "button"; made.className = "plain"; made.textContent = words;
    made.setAttribute("aria-label", `${spoken}: ${name}`);
    made.onclick = act;
    return made;
  };
  input.before(button("−", "One less", () => set(Number(input.value || 0) - 1)));
  const sent = Number(input.dataset.count);
  const more = button("+", "One more", () => set(Number(input.value || 0) + 1));
  input.after(more);
  if (sent) more.after(button(`all ${sent}`, `All ${sent}`, () => set(sent)));
});
// Enter goes to the next count, as on a tally sheet; only the button sends.
document.addEventListener("keydown", (event) => {
  if (event.key !== "Enter" || !event.target.matches("form[data-counting] input[type=number]")) return;
  event.preventDefault();
  const inputs = [...event.target.form.querySelectorAll("input[data-count]")];
  const next = inputs[inputs.indexOf(event.target) + 1];
  (next || event.target.form.querySelector("textarea")).focus();
});
