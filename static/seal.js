// Seals a party's secret in the browser: only the sealed form is sent, and the
// number that goes with it is made here. Without this script the server does
// both, and says so. Load check/hash.js before it; that its running time tells
// something of the secret matters only to someone at the same device.
(function () {
  "use strict";
  var hash = window.fairladleHash;
  if (!hash || !window.crypto || !crypto.getRandomValues) return;

  function part(form, name) { return form.querySelector("[data-" + name + "]"); }

  function prepare(form) {
    var fields = form.elements;
    if (fields.secret.value === "") fields.nonce.value = hash.hex(crypto.getRandomValues(new Uint8Array(16)));
    document.querySelectorAll("[data-unscripted]").forEach(function (e) { e.hidden = true; });
    document.querySelectorAll("[data-scripted]").forEach(function (e) { e.hidden = false; });
    form.addEventListener("submit", function (event) { seal(form, event); });
  }

  // seal shows the card first; the form is sent by the card's own button, and
  // then holds neither the secret nor its number.
  function seal(form, event) {
    var fields = form.elements, card = part(form, "card");
    if (fields.sealed.value.trim() !== "") {
      fields.secret.disabled = fields.nonce.disabled = true;
      return;
    }
    event.preventDefault();
    var secret = fields.secret.value.trim(), nonce = fields.nonce.value.replace(/\s/g, "").toLowerCase();
    if (secret.length < 8) { fields.secret.focus(); return; }
    if (!/^[0-9a-f]{32}$/.test(nonce)) { fields.nonce.focus(); return; }
    var lines = ["fairladle seed 1", form.dataset.draw, fields.party.value, nonce, secret];
    part(form, "secret").textContent = secret;
    part(form, "nonce").textContent = nonce;
    part(form, "form").hidden = true;
    card.hidden = false;
    fields.sealed.value = hash.hex(hash.sha256(hash.utf8(lines.join("\n"))));
    part(form, "send").focus();
  }

  document.querySelectorAll("form[data-draw]").forEach(prepare);
})();
