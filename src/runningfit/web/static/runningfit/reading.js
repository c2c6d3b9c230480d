// The walk over a reading sheet: Enter takes a reading and goes on; each is kept on this device until it has arrived.
"use strict";
(() => {
  const page = document.getElementById("reading");
  if (!page) return;
  const form = page.querySelector("form.press");
  const input = form.elements.namedItem("typed");
  const again = form.querySelector("[name=kind]");
  const state = document.getElementById("state");
  const unsent = document.getElementById("unsent");
  const asked = document.getElementById("asked");
  const elsewhere = document.getElementById("elsewhere");
  const here = document.getElementById("here");
  const back = document.getElementById("back");
  const MOST_AT_ONCE = 50;
  document.getElementById("keys").hidden = false;

  // Each reading lies under its own key, so that two tabs never write over each other's queue.
  const spare = new Map();
  const store = {
    keys() { try { return [...Object.keys(localStorage), ...spare.keys()]; } catch { return [...spare.keys()]; } },
    get(key) { if (spare.has(key)) return spare.get(key); try { return localStorage.getItem(key); } catch { return null; } },
    set(key, value) { try { localStorage.setItem(key, value); } catch { spare.set(key, value); } },
    drop(key) { spare.delete(key); try { localStorage.removeItem(key); } catch { return; } },
  };
  const all = "reading:";
  const mine = `${all}${page.dataset.set}:`;
  let number = 0;
  const newKey = () => `${mine}${String(Date.now()).padStart(15, "0")}:${String(number++).padStart(6, "0")}`;
  const newToken = () => Array.from(crypto.getRandomValues(new Uint8Array(16)), (byte) => byte.toString(16).padStart(2, "0")).join("");
  const kept = (prefix) => store.keys().filter((key) => key.startsWith(prefix)).sort()
    .map((key) => { try { return { key, ...JSON.parse(store.get(key)) }; } catch { return null; } })
    .filter((item) => item && item.token);
  const waiting = () => kept(mine).filter((item) => !item.why);

  // Where we are, and where we go.
  const cells = () => [...state.querySelectorAll("a.pt")];
  let at = { feature: form.elements.namedItem("feature").value, point: form.elements.namedItem("point").value };
  const is = (cell, one) => cell.dataset.feature === one.feature && cell.dataset.point === one.point;
  const now = () => cells().find((cell) => is(cell, at));
  function nextUnread() {
    const list = cells();
    const start = list.findIndex((cell) => is(cell, at)) + 1;
    return [...list.slice(start), ...list.slice(0, start)].find((cell) => !cell.matches(".read,.sent"));
  }
  function goTo(cell) {
    at = cell ? { feature: cell.dataset.feature, point: cell.dataset.point } : { feature: "", point: "" };
    form.elements.namedItem("feature").value = at.feature;
    form.elements.namedItem("point").value = at.point;
    again.checked = false;
    showNow();
    if (cell) input.focus({ preventScroll: true });
  }
  function goBack() {
    const list = cells();
    const place = list.findIndex((cell) => is(cell, at));
    const before = place < 0 ? list.at(-1) : list[place - 1];
    if (before) goTo(before);
  }
  function goForward() {
    const list = cells();
    const after = list[list.findIndex((cell) => is(cell, at)) + 1];
    if (after) goTo(after);
  }
  function showNow() {
    const cell = now();
    form.hidden = !cell;
    document.getElementById("all-read").hidden = !!cell;
    cells().forEach((one) => { if (one === cell) one.setAttribute("aria-current", "true"); else one.removeAttribute("aria-current"); });
    page.querySelectorAll("[data-at]").forEach((mark) => mark.classList.toggle("next", !!cell && mark.dataset.at === at.point));
    if (!cell) return;
    document.getElementById("its-name").textContent = cell.dataset.name;
    document.getElementById("its-point").textContent = cell.dataset.said;
    const words = cell.dataset.stands || cell.dataset.sending || "";
    here.hidden = !words;
    document.getElementById("stands").textContent = words;
    document.getElementById("read-by").textContent = "";
  }

  // What was typed and has not arrived yet stands in its cell already.
  let trouble = "";
  function show() {
    const items = waiting();
    for (const item of items) {
      const cell = cells().find((one) => is(one, item));
      if (!cell) continue;
      if (item.kind === "struck") { cell.classList.remove("read", "sent"); cell.dataset.stands = ""; cell.textContent = "·"; continue; }
      cell.classList.add("sent");
      cell.dataset.sending = item.typed;
      if (item.kind !== "repeat") cell.textContent = item.typed;
    }
    const last = items.at(-1);
    unsent.textContent = trouble ? `${trouble} ${items.length} kept on this device.` : last ? `${last.typed || "struck out"} · sending ${items.length}` : "";
    unsent.className = trouble ? "caution" : "hint";
    const open = kept(mine).filter((item) => item.why);
    const boxes = () => [...asked.querySelectorAll("[data-token]")];
    for (const box of boxes()) if (!open.some((item) => item.token === box.dataset.token)) box.remove();
    for (const item of open) if (!boxes().some((box) => box.dataset.token === item.token)) asked.append(asBox(item));
    askOnce(open.filter((item) => item.typed_in && item.typed_in !== page.dataset.unit));
    const others = kept(all).filter((item) => !item.key.startsWith(mine));
    elsewhere.replaceChildren(...(others.length ? [asLeft(others)] : []));
  }

  function asBox(item) {
    const box = document.createElement("div");
    box.className = "asked wrong";
    box.dataset.token = item.token;
    box.setAttribute("role", "alert");
    const words = document.createElement("p");
    words.textContent = `${item.name}${item.said ? `, ${item.said}` : ""}: ${item.asked ? "" : "not taken. "}${item.why}`;
    const row = document.createElement("div");
    row.className = "do";
    const answer = (more) => { store.drop(item.key); queue({ ...item, token: newToken(), why: undefined, asked: undefined, ...more }); input.focus({ preventScroll: true }); };
    if (item.instead_typed) row.append(button(item.instead_said, "", () => answer({ typed: item.instead_typed, surely: `typed ${item.typed}` })));
    row.append(button("Read it again", "plain", () => { store.drop(item.key); const cell = cells().find((one) => is(one, item)); show(); if (cell) goTo(cell); }));
    box.append(words, row);
    if (item.asked) {
      const why = document.createElement("input");
      why.value = "read twice";
      why.maxLength = 120;
      why.setAttribute("aria-label", "Why it is right as typed");
      const keep = () => { if (why.value.trim()) answer({ surely: why.value.trim() }); else why.focus(); };
      why.addEventListener("keydown", (event) => { if (event.key === "Enter") { event.preventDefault(); keep(); } });
      const line = document.createElement("div");
      line.className = "quick";
      line.append(why, button(`Keep ${item.typed} as typed`, "plain", keep));
      box.append(line);
    }
    return box;
  }

  // A sheet typed in the wrong unit is one slip, and is asked about once; what was typed stays as it was typed.
  function askOnce(items) {
    const folded = asked.querySelector("details.one-by-one");
    if (folded) { asked.append(...folded.querySelectorAll("[data-token]")); folded.remove(); }
    asked.querySelector(".whole-sheet")?.remove();
    const unit = items.at(-1)?.typed_in;
    const alike = items.filter((item) => item.typed_in === unit);
    if (!alike.length) return;
    const said = alike[0].typed_in_said;
    const box = document.createElement("div");
    box.className = "asked wrong whole-sheet";
    box.setAttribute("role", "alert");
    const words = document.createElement("p");
    words.textContent = `${alike.length === 1 ? "This reading looks" : `These ${alike.length} readings look`} typed in ${said}, and the sheet reads ${page.dataset.unitWords}: ${alike.map((item) => item.typed).join(", ")}.`;
    const row = document.createElement("div");
    row.className = "do";
    row.append(button(`The whole sheet is read in ${said}`, "", () => {
      readIn(unit, said);
      for (const item of alike) {
        store.drop(item.key);
        const { key: _key, ...whole } = item;
        store.set(newKey(), JSON.stringify({ ...whole, token: newToken(), unit, read_in: unit, why: undefined, asked: undefined, typed_in: undefined }));
      }
      show();
      send();
    }));
    box.append(words, row);
    asked.prepend(box);
    if (alike.length === 1) return;
    const each = document.createElement("details");
    each.className = "one-by-one";
    const summary = document.createElement("summary");
    summary.textContent = "One by one";
    each.append(summary, ...[...asked.querySelectorAll("[data-token]")].filter((one) => alike.some((item) => item.token === one.dataset.token)));
    box.after(each);
  }

  function readIn(unit, said) {
    const was = page.dataset.unitWords;
    page.dataset.unit = unit;
    page.dataset.unitWords = said;
    form.querySelector("label[for=id_typed]").textContent = `Reading in ${said}`;
    const summary = document.querySelector(".read-with>summary");
    summary.textContent = summary.textContent.replace(`reads ${was}`, `reads ${said}`);
    const chosen = document.querySelector(".read-with [name=unit]");
    if (chosen) chosen.value = unit;
  }

  function asLeft(items) {
    const box = document.createElement("div");
    box.className = "caution";
    const sets = new Map(items.map((item) => [item.key.split(":")[1], item]));
    for (const [set, item] of sets) {
      const of = items.filter((one) => one.key.split(":")[1] === set);
      const words = document.createElement("p");
      words.textContent = `${of.length} of ${item.title} still on this device: ${of.map((one) => one.typed || "struck out").join(", ")}.`;
      const row = document.createElement("div");
      row.className = "do";
      const go = document.createElement("a");
      go.className = "button plain";
      go.href = item.page;
      go.textContent = "Send them there";
      row.append(go, button("Throw them away", "plain", () => { of.forEach((one) => store.drop(one.key)); show(); }));
      box.append(words, row);
    }
    return box;
  }

  function button(words, kind, act) {
    const made = document.createElement("button");
    made.type = "button";
    made.className = kind;
    made.textContent = words;
    made.addEventListener("click", act);
    return made;
  }

  function queue(item) {
    const { key: _key, ...whole } = item;
    store.set(newKey(), JSON.stringify(whole));
    show();
    send();
  }
  function take(typed, kind) {
    const cell = now();
    if (!cell) return;
    const { gauge, unit, setat, temperature, round, title } = page.dataset;
    // A new reading of a point answers what was asked about the one before.
    kept(mine).filter((item) => item.why && is(cell, item)).forEach((item) => store.drop(item.key));
    const item = { token: newToken(), feature: at.feature, point: at.point, typed, kind, surely: "", gauge, unit, setat, temperature, round,
      name: cell.dataset.name, said: cell.dataset.said, title, page: location.pathname };
    if (kind !== "struck") cell.classList.add("sent");
    goTo(kind === "struck" ? cell : nextUnread());
    queue(item);
    showNow();
  }

  let busy = false;
  let pause = 1000;
  let later = 0;
  async function send() {
    if (busy) return;
    busy = true;
    clearTimeout(later);
    let most = MOST_AT_ONCE;
    try {
      for (let items = waiting().slice(0, most); items.length; items = waiting().slice(0, most)) {
        const fields = ["token", "feature", "point", "typed", "kind", "surely", "read_in", "gauge", "unit", "setat", "temperature", "round"];
        const answer = await fetch(page.dataset.readings, {
          method: "POST", credentials: "same-origin", redirect: "error", signal: AbortSignal.timeout(20000),
          headers: { "Content-Type": "application/json", "X-CSRFToken": form.elements.namedItem("csrfmiddlewaretoken").value },
          body: JSON.stringify({ items: items.map((item) => Object.fromEntries(fields.map((name) => [name, item[name] ?? ""]))) }),
        });
        if (answer.ok) { taken(items, await answer.json()); trouble = ""; pause = 1000; most = MOST_AT_ONCE; continue; }
        if (answer.status === 409) { trouble = (await answer.json()).why; show(); return; }
        if (answer.status === 400 && items.length > 1) { most = 1; continue; }
        if (answer.status === 400) { mark(items[0], { why: (await answer.json()).why }); show(); continue; }
        if (answer.status === 403 || answer.status === 404) { trouble = "Load this page again: it was open too long."; show(); return; }
        throw new Error(String(answer.status));
      }
    } catch {
      trouble = "The shop's machine does not answer.";
      show();
      later = setTimeout(send, pause);
      pause = Math.min(pause * 2, 15000);
    } finally {
      busy = false;
    }
  }
  function mark(item, more) {
    const { key, ...whole } = item;
    store.set(key, JSON.stringify({ ...whole, ...more }));
  }
  function taken(items, answer) {
    const said = new Map(answer.answers.map((one) => [one.token, one]));
    for (const item of items) {
      const one = said.get(item.token);
      if (!one) continue;
      if (one.kept) store.drop(item.key);
      else mark(item, { why: one.why, asked: one.asked, instead_typed: one.instead_typed, instead_said: one.instead_said, typed_in: one.typed_in, typed_in_said: one.typed_in_said });
    }
    const inside = state.contains(document.activeElement);
    state.innerHTML = answer.shown;
    show();
    // What was asked about at the last point is still to be read there.
    if (!now() && answer.answers.some((one) => !one.kept)) { const cell = nextUnread(); if (cell) goTo(cell); }
    showNow();
    if (inside) input.focus({ preventScroll: true });
  }

  form.addEventListener("submit", (event) => {
    event.preventDefault();
    event.stopPropagation();
    if (event.submitter && event.submitter.name === "strike") { take("", "struck"); return; }
    const typed = input.value.trim();
    input.value = "";
    if (typed) take(typed, again.checked ? "repeat" : "reading");
    input.focus({ preventScroll: true });
  });
  input.addEventListener("keydown", (event) => {
    // Some gauges end a reading with Tab.
    if (event.key === "Tab" && !event.shiftKey && input.value.trim()) { event.preventDefault(); form.requestSubmit(); }
    else if (event.key === "ArrowUp" || (event.key === "Backspace" && !input.value)) { event.preventDefault(); goBack(); }
    else if (event.key === "ArrowDown") { event.preventDefault(); goForward(); }
  });
  state.addEventListener("click", (event) => {
    const cell = event.target.closest("a.pt");
    if (!cell || event.ctrlKey || event.metaKey) return;
    event.preventDefault();
    goTo(cell);
    form.scrollIntoView({ block: "nearest" });
  });
  back.addEventListener("click", (event) => { event.preventDefault(); goBack(); });
  again.addEventListener("change", () => input.focus({ preventScroll: true }));
  document.addEventListener("keydown", (event) => {
    if (document.activeElement === document.body && !form.hidden && event.key.length === 1 && !event.ctrlKey && !event.metaKey && !event.altKey) input.focus({ preventScroll: true });
  });
  window.addEventListener("online", send);
  window.addEventListener("storage", show);
  show();
  if (waiting().some((item) => item.feature === at.feature && item.point === at.point)) goTo(nextUnread());
  showNow();
  if (!form.hidden) input.focus({ preventScroll: true });
  send();
})();
