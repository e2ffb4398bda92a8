// Copies a text into the clipboard. Where a browser does not let a page do so,
// the button stays hidden and the text can be selected by hand.
(function () {
  "use strict";
  document.querySelectorAll("[data-copy]").forEach(function (button) {
    var field = document.getElementById(button.dataset.copy), words = button.textContent;
    if (!field) return;
    button.hidden = false;
    button.addEventListener("click", function () {
      function done() {
        button.textContent = button.dataset.done;
        setTimeout(function () { button.textContent = words; }, 2500);
      }
      field.select();
      if (navigator.clipboard) navigator.clipboard.writeText(field.value).then(done, function () {});
      else if (document.execCommand("copy")) done();
    });
  });
})();
