/* A draft of a form marked data-draft="key" is kept in this browser, apart for each person,
   until the server has answered. Files and passwords are never kept.
   A form marked data-saves-itself is also sent field by field while one writes; what can't be sent
   (no network, a field still wrong) is put into the draft at once, so that what is said of it stays
   true and stays to be read, and is sent again. */
(function () {
  "use strict";
  var person = document.body.dataset.person || "";
  var prefix = "draft:" + person + ":";
  var sent = "sent:" + person;

  function read(store, key) { try { return store.getItem(key); } catch (e) { return null; } }
  function write(store, key, value) { try { store.setItem(key, value); return true; } catch (e) { return false; } }
  function drop(store, key) { try { store.removeItem(key); } catch (e) { /* nothing kept */ } }

  function fields(form) {
    return Array.prototype.filter.call(form.elements, function (field) {
      return field.name && field.name !== "csrfmiddlewaretoken" && !/^(password|file|submit|button|hidden)$/.test(field.type) &&
        field.tagName !== "FIELDSET";
    });
  }

  function gather(form) {
    return fields(form).map(function (field) {
      if (field.type === "checkbox" || field.type === "radio") { return [field.name, field.value, field.checked]; }
      if (field.multiple) {
        return [field.name, Array.prototype.map.call(field.selectedOptions, function (option) { return option.value; }), null];
      }
      return [field.name, field.value, null];
    });
  }

  function put(form, kept) {
    var byName = {};
    kept.forEach(function (row) { (byName[row[0]] = byName[row[0]] || []).push(row); });
    fields(form).forEach(function (field) {
      var rows = byName[field.name];
      if (!rows) { return; }
      if (field.type === "checkbox" || field.type === "radio") {
        rows.forEach(function (row) { if (row[1] === field.value) { field.checked = row[2]; } });
      } else if (field.multiple) {
        Array.prototype.forEach.call(field.options, function (option) { option.selected = rows[0][1].indexOf(option.value) >= 0; });
      } else {
        field.value = rows.shift()[1];
      }
    });
  }

  function clock(when) {
    return when.toLocaleTimeString("en-GB", { hour: "2-digit", minute: "2-digit" });
  }

  /* Sends what is written so far, one request at a time; the form itself waits for the last one. */
  function savesItself(form, tell, kept, keep) {
    var busy = false, again = false, held = null, timer = 0, stopped = false;

    function body() {
      var data = new FormData(form);
      Array.from(data.entries()).forEach(function (pair) { if (pair[1] instanceof File) { data.delete(pair[0]); } });
      return data;
    }

    function answered(response) {
      var json = (response.headers.get("Content-Type") || "").indexOf("application/json") === 0;
      if (!json) { throw new TypeError("not saved"); }
      return response.json().then(function (said) {
        if (response.ok) {
          if (form.elements.version) { form.elements.version.value = said.version; }
          if (!again) { kept(); }
          tell("Saved " + clock(new Date()));
        } else {
          stopped = response.status === 409;
          keep();
          tell((stopped ? "Not saved: " : "Not saved yet. ") + said.said);
        }
      });
    }

    function send() {
      if (busy) { again = true; return; }
      if (stopped) { return; }
      busy = true;
      again = false;
      fetch(form.action, { method: "POST", body: body(), headers: { "X-Saved-By-Itself": "yes" }, credentials: "same-origin" })
        .then(answered)
        .catch(function () {
          tell(keep() ? "Not sent, no connection or signed out: kept in this browser at " + clock(new Date()) + ", and sent when it works again."
            : "Not sent, no connection or signed out, and this browser keeps no drafts: leave the page open, it is sent when it works again.");
          window.clearTimeout(timer);
          timer = window.setTimeout(send, 15000);
        })
        .finally(function () {
          busy = false;
          if (held) { var button = held; held = null; form.requestSubmit(button.tagName ? button : undefined); return; }
          if (again) { send(); }
        });
    }

    form.addEventListener("change", function (event) {
      if (event.target.type === "file") { return; }
      window.clearTimeout(timer);
      timer = window.setTimeout(send, 300);
    });
    window.addEventListener("online", function () { if (timer) { send(); } });
    return {
      holds: function (event) {
        window.clearTimeout(timer);
        if (!busy) { stopped = true; return false; }
        event.preventDefault();
        held = event.submitter || form;
        return true;
      }
    };
  }

  function watch(form) {
    var key = prefix + form.dataset.draft;
    var note = document.createElement("p");
    var timer = 0;
    note.className = "draft-note";
    note.setAttribute("role", "status");
    form.append(note);

    var kept = read(window.localStorage, key);
    if (kept && !form.querySelector("[data-errors]")) {
      kept = JSON.parse(kept);
      var offer = document.createElement("div");
      var back = document.createElement("button");
      var away = document.createElement("button");
      offer.className = "notice attend";
      offer.setAttribute("role", "status");
      offer.append("A draft of this form from " + clock(new Date(kept.at)) + " is kept in this browser. ");
      back.type = away.type = "button";
      back.textContent = "Put it back";
      away.textContent = "Throw it away";
      back.addEventListener("click", function () { put(form, kept.fields); offer.remove(); form.dispatchEvent(new Event("draft:back")); form.dispatchEvent(new Event("change")); });
      away.addEventListener("click", function () { drop(window.localStorage, key); offer.remove(); });
      offer.append(back, " ", away);
      form.prepend(offer);
    }

    function keep() {
      window.clearTimeout(timer);
      return write(window.localStorage, key, JSON.stringify({ at: new Date().toISOString(), fields: gather(form) }));
    }

    form.addEventListener("input", function () {
      window.clearTimeout(timer);
      timer = window.setTimeout(function () {
        note.textContent = keep() ? "Draft saved in this browser " + clock(new Date()) : "This browser keeps no drafts.";
      }, 700);
    });
    var saving = "savesItself" in form.dataset && window.fetch ? savesItself(form, function (text) { note.textContent = text; }, function () {
      window.clearTimeout(timer);
      drop(window.localStorage, key);
    }, keep) : null;
    form.addEventListener("submit", function (event) {
      if (saving && saving.holds(event)) { return; }
      window.clearTimeout(timer);
      write(window.sessionStorage, sent, key);
    });
  }

  /* The page that follows a sent form is the server's answer: only then the draft may go. */
  var last = read(window.sessionStorage, sent);
  if (last) {
    if (!document.querySelector("[data-errors], [data-keep-drafts]")) { drop(window.localStorage, last); }
    drop(window.sessionStorage, sent);
  }
  document.querySelectorAll("form[data-draft]").forEach(watch);
  document.addEventListener("htmx:afterSettle", function (event) {
    event.target.querySelectorAll("form[data-draft]").forEach(watch);
  });
}());
