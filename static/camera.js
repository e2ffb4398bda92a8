// The camera page follows the draw: it looks every second and a half whether
// something was recorded, and then changes only what is shown. Without this
// script the page loads itself again every three seconds.
(function () {
  "use strict";
  var button = document.getElementById("whole-screen");
  if (button && document.documentElement.requestFullscreen) {
    button.hidden = false;
    button.addEventListener("click", function () { document.documentElement.requestFullscreen(); });
    document.addEventListener("fullscreenchange", function () { button.hidden = !!document.fullscreenElement; });
  }

  function follow(text) {
    var next = new DOMParser().parseFromString(text, "text/html").getElementById("camera");
    var shown = document.getElementById("camera");
    if (next && shown && next.dataset.step !== shown.dataset.step) shown.replaceWith(document.adoptNode(next));
  }

  function look() {
    fetch(location.href, { credentials: "same-origin", cache: "no-store" })
      .then(function (r) { return r.ok ? r.text() : ""; })
      .then(follow)
      .catch(function () { /* the server is away; the next look may find it */ })
      .then(function () { setTimeout(look, 1500); });
  }
  setTimeout(look, 1500);
})();
