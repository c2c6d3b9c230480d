// The tally sheet's queue: every press is kept on this device with its own token until the shop's machine has it.
"use strict";
(() => {
  const page = document.getElementById("tally");
  if (!page) return;
  const sheet = page.dataset.sheet;
  const form = page.querySelector("form.press");
  const input = form.elements.namedItem("typed");
  const state = document.getElementById("state");
  const unsent = document.getElementById("unsent");
  const refused = document.getElementById("refused");
  const MOST_AT_ONCE = 50;

  // Each press lies under its own key, so that two tabs never write over each other's queue.
  const spare = new Map();
  const store = {
    keys() { try { return Object.keys(localStorage); } catch { return [...spare.keys()]; } },
    get(key) { try { return localStorage.getItem(key); } catch { return spare.get(key); } },
    set(key, value) { try { localStorage.setItem(key, value); } catch { spare.set(key, value); } },
    drop(key) { spare.delete(key); try { localStorage.removeItem(key); } catch { return; } },
  };
  const mine = `tally:${sheet}:`;
  let number = 0;
  const newKey = () => `${mine}${String(Date.now()).padStart(15, "0")}:${String(number++).padStart(6, "0")}`;
  const newToken = () => Array.from(crypto.getRandomValues(new Uint8Array(16)), (byte) => byte.toString(16).padStart(2, "0")).join("");
  const kept = (prefix) => store.keys().concat([...spare.keys()]).filter((key, at, all) => key.startsWith(prefix) && all.indexOf(key) === at).sort()
    .map((key) => { try { return { key, ...JSON.parse(store.get(key) ?? spare.get(key)) }; } catch { return null; } })
    .filter((item) => item && item.token);
  const waiting = () => kept(mine).filter((item) => !item.why);

  function queue(item) {
    const { key: _key, ...kept } = { token: newToken(), ...item };
    store.set(newKey(), JSON.stringify(kept));
    show();
    send();
  }

  let trouble = "";
  function show() {
    const items = waiting();
    const presses = items.filter((item) => item.typed !== undefined);
    const last = presses.at(-1);
    let words = "";
    if (trouble) words = `${trouble} ${items.length} kept on this device.`;
    else if (last) words = `${last.typed} · sending ${presses.length}`;
    unsent.textContent = words;
    unsent.className = trouble ? "caution" : "hint";
    const bad = kept(mine).filter((item) => item.why);
    const left = kept("tally:").filter((item) => item.left && !item.key.startsWith(mine));
    refused.replaceChildren(...bad.map(asRefused), ...(left.length ? [asLeft(left)] : []));
  }

  function asRefused(item) {
    const box = document.createElement("div");
    box.className = "wrong";
    box.setAttribute("role", "alert");
    const words = document.createElement("p");
    words.textContent = `Not counted: ${item.why}`;
    box.append(words, button("Seen", () => { store.drop(item.key); show(); input.focus(); }));
    return box;
  }

  function asLeft(items) {
    const box = document.createElement("div");
    box.className = "caution";
    const words = document.createElement("p");
    words.textContent = `${items.length} of another sheet, closed meanwhile, are still on this device: ${items.map((item) => item.typed).join(", ")}.`;
    box.append(words,
      button("Count them on this sheet", () => { for (const item of items) { store.drop(item.key); queue({ token: item.token, typed: item.typed }); } show(); }),
      button("Throw them away", () => { items.forEach((item) => store.drop(item.key)); show(); }));
    return box;
  }

  function button(words, act) {
    const made = document.createElement("button");
    made.type = "button";
    made.className = "plain";
    made.textContent = words;
    made.addEventListener("click", act);
    return made;
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
        const answer = await fetch(page.dataset.presses, {
          method: "POST", credentials: "same-origin", redirect: "error", signal: AbortSignal.timeout(20000),
          headers: { "Content-Type": "application/json", "X-CSRFToken": form.elements.namedItem("csrfmiddlewaretoken").value },
          body: JSON.stringify({ items: items.map(({ token, typed, press, length_mm }) => ({ token, ...(typed !== undefined ? { typed } : { press, length_mm }) })) }),
        });
        if (answer.ok) { taken(items, await answer.json()); trouble = ""; pause = 1000; most = MOST_AT_ONCE; show(); continue; }
        if (answer.status === 409) { closed(items, (await answer.json()).why); return; }
        if (answer.status === 400 && items.length > 1) { most = 1; continue; }
        if (answer.status === 400) { mark(items[0], (await answer.json()).why); show(); continue; }
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

  function taken(items, answer) {
    const why = new Map(answer.refused.map((one) => [one.token, one.why]));
    for (const item of items) {
      if (why.has(item.token)) mark(item, why.get(item.token));
      else if (answer.taken.includes(item.token)) store.drop(item.key);
    }
    const inside = state.contains(document.activeElement);
    state.innerHTML = answer.shown;
    if (inside) input.focus();
  }
  function mark(item, why) {
    const { key, ...rest } = item;
    store.set(key, JSON.stringify({ ...rest, why }));
  }
  function closed(items, why) {
    trouble = why;
    for (const { key, ...item } of waiting()) {
      if (item.typed !== undefined) store.set(key, JSON.stringify({ ...item, left: true }));
      else store.drop(key);
    }
    show();
    trouble = "";
  }

  form.addEventListener("submit", (event) => {
    event.preventDefault();
    event.stopPropagation();
    const typed = input.value.trim();
    input.value = "";
    if (typed) queue({ typed });
    input.focus();
  });
  // Some calipers end a reading with Tab.
  input.addEventListener("keydown", (event) => {
    if (event.key === "Tab" && !event.shiftKey && input.value.trim()) { event.preventDefault(); form.requestSubmit(); }
  });
  page.addEventListener("submit", (event) => {
    const sent = event.target;
    if (sent === form) return;
    if ("queue" in sent.dataset) {
      event.preventDefault();
      event.stopPropagation();
      const press = sent.elements.namedItem("press").value;
      const length_mm = event.submitter && event.submitter.name === "length_mm" ? event.submitter.value : "";
      sent.querySelectorAll("button").forEach((one) => { one.disabled = true; });
      queue({ press, length_mm });
      input.focus();
    } else if (sent.classList.contains("close") && kept(mine).length) {
      // A sheet is closed only when everything pressed here has arrived and every refusal was seen.
      event.preventDefault();
      event.stopPropagation();
      send();
      (refused.firstElementChild || unsent).scrollIntoView({ block: "center" });
    }
  });
  document.addEventListener("click", (event) => {
    if (!event.target.closest("a,button,input,select,textarea,summary,label")) input.focus();
  });
  document.addEventListener("keydown", (event) => {
    if (document.activeElement === document.body && event.key.length === 1 && !event.ctrlKey && !event.metaKey && !event.altKey) input.focus();
  });
  window.addEventListener("online", send);
  window.addEventListener("storage", show);
  input.focus();
  show();
  send();
})();
