// The page for the counter: timers count on from the server's start times, the
// screen stays on where the browser can, and a page that was asleep reloads.
// Without this script the same page shows the times as they stood.
(function () {
  "use strict";
  var counter = document.querySelector("[data-counter]");
  if (!counter) return;
  var ahead = Number(counter.dataset.now) - Date.now(); // the server's clock, not the phone's
  var timers = Array.prototype.slice.call(document.querySelectorAll("[data-until]"));
  var clock = document.querySelector("[data-clock]");
  var title = document.title;

  function two(n) { return n < 10 ? "0" + n : String(n); }
  function left(ms) {
    var s = Math.abs(Math.trunc(ms / 1000)), sign = ms < 0 && s > 0 ? "−" : "";
    var h = Math.floor(s / 3600), m = Math.floor(s / 60);
    return sign + (h > 0 ? h + ":" + two(m % 60) : m) + ":" + two(s % 60);
  }
  function tick() {
    var now = Date.now() + ahead, first = null;
    timers.forEach(function (el) {
      var ms = Number(el.dataset.until) - now;
      el.textContent = left(ms);
      el.closest(".now-task").classList.toggle("over", ms <= 0);
      if (first === null || ms < first) first = ms;
    });
    document.title = first === null ? title : left(first) + " " + title;
    if (clock) {
      try {
        clock.textContent = new Date(now).toLocaleTimeString("en-GB", { hour: "2-digit", minute: "2-digit", timeZone: clock.dataset.clock });
      } catch (e) { clock = null; }
    }
  }
  tick();
  setInterval(tick, 1000);

  function stayAwake() {
    if (!("wakeLock" in navigator) || document.visibilityState !== "visible") return;
    navigator.wakeLock.request("screen").then(function () {
      var words = document.querySelector("[data-awake]");
      if (words) words.hidden = false;
    }, function () { /* saving power comes first */ });
  }
  stayAwake();

  var hiddenAt = 0;
  document.addEventListener("visibilitychange", function () {
    if (document.visibilityState === "hidden") { hiddenAt = Date.now(); return; }
    if (hiddenAt && Date.now() - hiddenAt > 60000 && !document.querySelector("form[data-sent]")) { location.reload(); return; }
    stayAwake();
  });
})();
