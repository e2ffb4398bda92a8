// The reading desk by keyboard: k keep, m maybe, o leave out, n next, p back.
// Without this script the same buttons work by click and by Tab.
(function () {
  "use strict";
  var keys = {};
  document.querySelectorAll("[data-key]").forEach(function (el) { keys[el.dataset.key] = el; });
  document.addEventListener("keydown", function (e) {
    if (e.ctrlKey || e.metaKey || e.altKey) return;
    var typing = /^(INPUT|TEXTAREA|SELECT)$/.test(e.target.tagName) && e.target.type !== "radio";
    if (typing) { if (e.key === "Escape") e.target.blur(); return; }
    if (e.key === "/") {
      var note = document.querySelector("[data-note]");
      if (note) { e.preventDefault(); note.focus(); }
      return;
    }
    var el = keys[e.key.toLowerCase()];
    if (el) { e.preventDefault(); el.click(); }
  });
})();
