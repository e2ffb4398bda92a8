// The pause between two plates counts down a minute. It goes on where it was
// when the page is loaded again, and who asks for less motion sees it move in
// steps of ten seconds. Without this script the same words stand there.
(function () {
  "use strict";
  var step = matchMedia("(prefers-reduced-motion: reduce)").matches ? 10 : 1;

  function end(key) {
    var kept = "fairladle-pause/" + key, at = Date.now() + 60000;
    try {
      at = Number(sessionStorage.getItem(kept)) || at;
      sessionStorage.setItem(kept, at);
    } catch (e) { /* it starts again with the page */ }
    return at;
  }

  document.querySelectorAll("[data-pause]").forEach(function (pause) {
    var at = end(pause.dataset.pause), clock = pause.querySelector("[role=timer]");
    function tick() {
      var left = Math.ceil((at - Date.now()) / 1000 / step) * step;
      pause.hidden = left <= 0;
      if (left <= 0) { clearInterval(ticking); return; }
      clock.textContent = Math.floor(left / 60) + ":" + String(left % 60).padStart(2, "0");
    }
    var ticking = setInterval(tick, 1000);
    tick();
  });
})();
