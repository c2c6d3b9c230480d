// Snap: shows what was chosen, sends photo by photo, and tries again what the network lost. Without it the form is a plain one.
"use strict";
(() => {
  const form = document.querySelector("form.snap");
  if (!form || !window.FormData) return;
  const inputs = [...form.querySelectorAll("input[type=file]")];
  const chosen = form.querySelector(".chosen");
  const sent = form.querySelector(".sent");
  const bar = form.querySelector(".sending");
  const button = form.querySelector(".do button");
  let waiting = [];
  // With the script the shutter is one plain button; what was taken shows beneath it.
  const [plainly, shutter] = form.querySelectorAll(".shutter label");
  plainly.hidden = true;
  shutter.hidden = false;
  inputs[0].classList.add("unseen");

  const token = () => [...crypto.getRandomValues(new Uint8Array(16))].map((one) => one.toString(16).padStart(2, "0")).join("");

  function take(file) {
    const figure = document.createElement("figure");
    figure.className = "small";
    const words = document.createElement("figcaption");
    if (!/hei[cf]$/i.test(file.name)) {
      const image = document.createElement("img");
      image.src = URL.createObjectURL(file);
      image.alt = file.name;
      image.onload = () => URL.revokeObjectURL(image.src);
      image.onerror = () => image.remove();
      figure.append(image);
    }
    words.textContent = "not sent yet";
    figure.append(words);
    chosen.append(figure);
    // A photo keeps its token however often it is tried: the shop's books take it once.
    waiting.push({ file, figure, words, token: token() });
  }
  inputs.forEach((input) => input.addEventListener("change", () => {
    [...input.files].forEach(take);
    input.value = "";
    if (waiting.length) button.textContent = waiting.length === 1 ? "Keep 1 photo" : `Keep ${waiting.length} photos`;
  }));

  function send(one, done, all) {
    return new Promise((resolve) => {
      const body = new FormData(form);
      body.delete("photo");
      body.set("once", one.token);
      body.set("photo", one.file, one.file.name);
      const request = new XMLHttpRequest();
      request.open("POST", form.dataset.one);
      request.upload.onprogress = (event) => { if (event.lengthComputable) bar.value = (done + event.loaded / event.total) / all; };
      request.onload = () => {
        let answer = {};
        try { answer = JSON.parse(request.responseText); } catch { answer = { refused: "The shop's computer gave no answer. Try again." }; }
        resolve({ ok: request.status === 200, final: request.status === 400, answer });
      };
      request.onerror = request.ontimeout = () => resolve({ ok: false, final: false, answer: { refused: "Not sent: no connection. Press Keep again." } });
      request.timeout = 120000;
      request.send(body);
    });
  }

  form.addEventListener("submit", async (event) => {
    if (!waiting.length) return;
    event.preventDefault();
    button.disabled = true;
    bar.hidden = false;
    const all = waiting.length;
    const again = [];
    let kept = 0;
    for (const [index, one] of waiting.entries()) {
      one.words.textContent = "sending…";
      const { ok, final, answer } = await send(one, index, all);
      bar.value = (index + 1) / all;
      if (ok) {
        kept += 1;
        one.words.textContent = answer.said;
        if (answer.thumb) {
          const image = one.figure.querySelector("img") || one.figure.insertBefore(document.createElement("img"), one.words);
          image.src = answer.thumb;
          image.alt = answer.said;
        }
        sent.prepend(one.figure);
        if (answer.bag) useBag(answer.bag);
      } else {
        one.words.textContent = answer.refused;
        one.figure.classList.add("wrong");
        if (!final) again.push(one);
      }
    }
    waiting = again;
    bar.hidden = true;
    button.disabled = false;
    button.textContent = again.length ? `Send ${again.length} again` : "Keep";
    if (kept) form.querySelector("input[name=words]").value = "";
    inputs[0].focus();
  });

  // The new bag has its code now: the next photo goes into the same one.
  function useBag(code) {
    const tapped = form.querySelector("input[name=bag]:checked");
    if (tapped && tapped.value === "+") {
      tapped.value = code;
      const words = tapped.parentElement.querySelector("span");
      words.className = "code";
      words.textContent = code;
    }
  }
})();
