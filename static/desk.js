// The reading desk by keyboard: k keep, m maybe, o leave out, n next, p back.
// Where a round asks several questions, 1, 2 and 3 answer the one that has the
// focus, or the first open one, and the next is asked; Enter saves.
// Without this script the same buttons work by click and by Tab.
(function () {
  "use strict";
  var keys = {};
  document.querySelectorAll("[data-key]").forEach(function (el) { keys[el.dataset.key] = el; });
  var asks = Array.from(document.querySelectorAll("[data-ask]"));
  function open(ask) { return !ask.querySelector(":checked"); }
  function answer(key, at) {
    at = at || asks.find(open) || asks[0];
    at.querySelector('[data-answer="' + key + '"]').checked = true;
    var next = asks.find(open);
    (next ? next.querySelector("input") : document.querySelector("[data-done]")).focus();
  }
  // A note that is being typed outlives a reload; the server has it once a
  // mark or a choice is sent.
  var typed = document.querySelector("[data-note]"), at = "note " + location.pathname;
  function drop() { try { sessionStorage.removeItem(at); } catch (e) { /* kept nowhere */ } }
  if (typed) {
    try { var was = sessionStorage.getItem(at); if (was !== null) typed.value = was; } catch (e) { /* kept nowhere */ }
    typed.addEventListener("input", function () { try { sessionStorage.setItem(at, typed.value); } catch (e) { /* kept nowhere */ } });
    typed.form.addEventListener("submit", drop);
  }
  document.addEventListener("keydown", function (e) {
    if (e.ctrlKey || e.metaKey || e.altKey) return;
    var typing = /^(INPUT|TEXTAREA|SELECT)$/.test(e.target.tagName) && e.target.type !== "radio";
    if (typing) { if (e.key === "Escape") e.target.blur(); return; }
    if (e.key === "/") {
      var note = document.querySelector("[data-note]");
      if (note) { e.preventDefault(); note.focus(); }
      return;
    }
    if (/^[1-3]$/.test(e.key) && asks.length) { e.preventDefault(); answer(e.key, e.target.closest("[data-ask]")); return; }
    var el = keys[e.key.toLowerCase()];
    if (el) { e.preventDefault(); el.click(); }
  });
})();
