// Passkeys: the browser's own words for making and using one. Without this
// file, or where a browser has none, the password stays.
(function () {
  'use strict';
  if (!window.PublicKeyCredential || !PublicKeyCredential.parseCreationOptionsFromJSON) return;

  function post(address, body, type) {
    return fetch(address, {
      method: 'POST', body: body, credentials: 'same-origin',
      headers: type ? { 'Content-Type': type } : {}
    }).then(function (r) {
      if (!r.ok) throw new Error(String(r.status));
      return r.json();
    });
  }

  function guarded(form, work) {
    var failed = form.querySelector('[data-failed]');
    form.hidden = false;
    form.addEventListener('submit', function (e) {
      e.preventDefault();
      failed.hidden = true;
      work(form).then(function (next) { location.assign(next.to); })
        .catch(function () { failed.hidden = false; });
    });
  }

  var add = document.getElementById('passkey-add');
  if (add) {
    guarded(add, function (form) {
      return post(form.dataset.begin, new URLSearchParams({ current: form.elements.current.value }))
        .then(function (o) {
          return navigator.credentials.create({ publicKey: PublicKeyCredential.parseCreationOptionsFromJSON(o.publicKey) });
        })
        .then(function (c) {
          return post(form.dataset.finish + '?name=' + encodeURIComponent(form.elements.name.value), JSON.stringify(c.toJSON()), 'application/json');
        });
    });
  }

  var use = document.getElementById('passkey-use');
  if (use) {
    guarded(use, function (form) {
      return post(form.dataset.begin, new URLSearchParams())
        .then(function (o) {
          return navigator.credentials.get({ publicKey: PublicKeyCredential.parseRequestOptionsFromJSON(o.publicKey) });
        })
        .then(function (c) {
          return post(form.dataset.finish + '?to=' + encodeURIComponent(form.elements.to.value), JSON.stringify(c.toJSON()), 'application/json');
        });
    });
  }
})();
