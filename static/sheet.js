// A tasting sheet outlives a lost connection: what a judge fills in is kept on
// this device until the server has it, and is sent again when the connection
// returns. The server knows a sheet that it has already, so sending one again
// changes nothing. Without this script the same form works by its buttons.
(function () {
  "use strict";
  var prefix = "fairladle-sheet/";
  var wait = 1200, again = 15000;

  function read(key) {
    try { return JSON.parse(localStorage.getItem(prefix + key)); } catch (e) { return null; }
  }
  function keep(key, held) {
    try { localStorage.setItem(prefix + key, JSON.stringify(held)); } catch (e) { /* the form still works */ }
  }
  function forget(key) {
    try { localStorage.removeItem(prefix + key); } catch (e) { /* nothing was kept */ }
  }

  // Only one request at a time is under way for a sheet, so that its revisions
  // stay in order.
  var busy = {};
  function send(key, action) {
    if (busy[key]) return busy[key].then(function () { return send(key, action); });
    var held = read(key);
    if (!held) return Promise.resolve(null);
    var body = new URLSearchParams(held.fields);
    body.set("revision", held.revision);
    body.set("do", held.seal ? "seal" : "draft");
    var sent = JSON.stringify(held.fields) + held.seal;
    busy[key] = fetch(action, { method: "POST", body: body, headers: { Accept: "application/json" }, redirect: "error" })
      .then(function (r) {
        var kind = r.headers.get("Content-Type") || "";
        if (r.status >= 500 || kind.indexOf("application/json") < 0) return { status: r.status, refused: r.status < 500 };
        return r.json().then(function (a) { a.status = r.status; a.refused = !r.ok; return a; });
      })
      .then(function (a) {
        if (a.status === 200) {
          var now = read(key);
          // Something may have been changed while this was under way.
          if (now && JSON.stringify(now.fields) + now.seal === sent || a.sealed) forget(key);
          else if (now) { now.revision = a.revision; keep(key, now); }
        } else if (a.refused) {
          // Sent again it would be refused again; it waits for the judge.
          var same = read(key);
          if (same) { same.refused = true; keep(key, same); }
        }
        return a;
      })
      .catch(function () { return { offline: true }; })
      .then(function (a) { delete busy[key]; return a; });
    return busy[key];
  }

  function fieldsOf(form) {
    var fields = [];
    new FormData(form).forEach(function (value, name) {
      if (name !== "revision" && name !== "do") fields.push([name, value]);
    });
    return fields;
  }

  function fill(form, fields) {
    form.querySelectorAll("input, textarea").forEach(function (el) {
      if (el.name === "revision") return;
      var values = fields.filter(function (f) { return f[0] === el.name; }).map(function (f) { return f[1]; });
      if (el.type === "radio" || el.type === "checkbox") el.checked = values.indexOf(el.value) >= 0;
      else el.value = values.length ? values[0] : "";
      if (el.tagName === "TEXTAREA" && el.value) el.closest("details").open = true;
    });
  }

  function sheet(form) {
    var key = form.dataset.sheetForm, state = form.querySelector("[data-sheet-state]");
    var revision = form.elements.revision, timer, asked = JSON.stringify(fieldsOf(form));
    function say(text) { state.textContent = text; }

    function remember(seal) {
      keep(key, { fields: fieldsOf(form), revision: revision.value, seal: !!seal });
    }
    // The server's own page explains a refusal, with everything typed on it.
    function hand(seal) {
      forget(key);
      var how = document.createElement("input");
      how.type = "hidden"; how.name = "do"; how.value = seal ? "seal" : "draft";
      form.appendChild(how);
      form.submit();
    }
    function push(seal, leave) {
      return send(key, form.action).then(function (a) {
        if (!a) return;
        if (a.offline || a.status >= 500) { say(seal ? form.dataset.held : form.dataset.kept); return; }
        if (a.refused) {
          if (leave) hand(seal); else if (a.message) say(a.message);
          return;
        }
        revision.value = a.revision;
        if (a.sealed || leave) { location.assign(a.next); return; }
        say(form.dataset.saved);
      });
    }

    form.addEventListener("input", function () {
      var held = read(key);
      remember(held && held.seal);
      clearTimeout(timer);
      timer = setTimeout(function () { var h = read(key); push(h && h.seal); }, wait);
    });
    form.addEventListener("submit", function (e) {
      var seal = !!e.submitter && e.submitter.value === "seal";
      e.preventDefault();
      clearTimeout(timer);
      remember(seal);
      push(seal, true);
    });

    function retry() {
      var held = read(key);
      if (held && !held.refused && !busy[key]) push(held.seal);
    }
    window.addEventListener("online", retry);
    setInterval(retry, again);

    var held = read(key);
    if (!held) return;
    if (JSON.stringify(held.fields) === asked && !held.seal) { forget(key); return; }
    if (String(held.revision) === revision.value) {
      fill(form, held.fields);
      say(form.dataset.restored);
      push(held.seal);
      return;
    }
    var other = form.querySelector("[data-sheet-other]");
    forget(key);
    other.hidden = false;
    other.querySelector("p").textContent = form.dataset.other;
    other.querySelector("button").addEventListener("click", function () {
      fill(form, held.fields);
      other.hidden = true;
      remember(false);
      push(false);
    });
  }

  // The list of plates sends what a closed sheet page left behind.
  function list(item) {
    var key = item.dataset.sheetKey, note = item.querySelector("[data-sheet-waiting]");
    if (item.classList.contains("sealed")) { forget(key); return; }
    function retry() {
      if (!read(key)) return;
      note.hidden = false;
      if (busy[key] || read(key).refused) return;
      send(key, item.dataset.sheetAction).then(function (a) {
        if (a && a.status === 200) location.reload();
      });
    }
    window.addEventListener("online", retry);
    retry();
  }

  document.querySelectorAll("[data-sheet-done]").forEach(function (el) { forget(el.dataset.sheetDone); });
  document.querySelectorAll("[data-sheet-form]").forEach(sheet);
  document.querySelectorAll("[data-sheet-key]").forEach(list);
})();
