// The shot: sent as soon as it is taken, tried again where the network lost it. Without this the form is a plain one.
"use strict";
(() => {
  const form = document.querySelector("form.shot");
  if (!form || !window.FormData) return;
  const inputs = [...form.querySelectorAll("input[type=file]")];
  const said = form.querySelector(".sending-said");
  const bar = form.querySelector(".sending");
  const send = form.querySelector(".do.send");
  const [plainly, shutter] = form.querySelectorAll(".shutter label");
  plainly.hidden = true;
  shutter.hidden = false;
  inputs[0].classList.add("unseen");
  send.hidden = true;
  let waiting = null;

  function refuse(words, again) {
    said.textContent = words;
    said.className = "sending-said wrong";
    bar.hidden = true;
    send.hidden = !again;
    const button = send.querySelector("button");
    button.textContent = "Send it again";
    button.disabled = false;
    if (!again) waiting = null;
  }

  function go() {
    const body = new FormData(form);
    body.delete("photo");
    body.set("photo", waiting, waiting.name);
    const request = new XMLHttpRequest();
    request.open("POST", form.dataset.one);
    request.upload.onprogress = (event) => { if (event.lengthComputable) bar.value = event.loaded / event.total; };
    request.onload = () => {
      let answer = {};
      try { answer = JSON.parse(request.responseText); } catch { answer = {}; }
      if (answer.to) { location.assign(answer.to); return; }
      refuse(answer.refused || "The shop's computer gave no answer. Send it again.", request.status !== 400);
    };
    request.onerror = request.ontimeout = () => refuse("Not sent: no connection. The photo is still here.", true);
    request.timeout = 120000;
    said.className = "sending-said";
    said.textContent = "Sending the photo…";
    bar.value = 0;
    bar.hidden = false;
    send.hidden = true;
    request.send(body);
  }

  inputs.forEach((input) => input.addEventListener("change", () => {
    if (!input.files.length) return;
    waiting = input.files[0];
    input.value = "";
    go();
  }));
  form.addEventListener("submit", (event) => {
    if (!waiting) return;
    event.preventDefault();
    go();
  });
})();
