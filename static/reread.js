// While a recipe is typed or pasted, its reading is brought up to date under
// it. The button does the same where this script does not run, and where the
// server cannot be reached.
(function () {
  "use strict";
  var text = document.getElementById("text"), shown = document.getElementById("reread"), said = document.getElementById("reread-said");
  if (!text || !shown || !window.fetch) return;
  var pause = 0, asked = 0;

  // Only the recipe and its corrections leave the device before it is sent:
  // no name, no address, no photo.
  function typed() {
    var d = new URLSearchParams();
    new FormData(text.form).forEach(function (value, name) {
      if (/^(text$|fix-|was-|at-)/.test(name)) d.append(name, value);
    });
    return d;
  }
  function replace(fresh) {
    if (shown.contains(document.activeElement)) return; // a correction is being typed
    var open = shown.querySelector("details[open]") !== null;
    shown.replaceChildren.apply(shown, Array.from(fresh.childNodes));
    var details = shown.querySelector("details");
    if (details) details.open = open;
    said.textContent = details ? said.dataset.said : "";
  }
  function read() {
    var mine = ++asked;
    fetch(shown.dataset.from, { method: "POST", body: typed() }).then(function (r) {
      return r.ok ? r.text() : Promise.reject(r.status);
    }).then(function (page) {
      var fresh = new DOMParser().parseFromString(page, "text/html").getElementById("reread");
      if (fresh && mine === asked) replace(fresh);
    }).catch(function () { /* the reading stays as it was; the button still works */ });
  }
  text.addEventListener("input", function () {
    clearTimeout(pause);
    said.textContent = "";
    pause = setTimeout(read, 900);
  });
})();
