/* Keys, the theme switch without a reload, and a narrow menu that closes. Nothing here is needed. */
(function () {
  "use strict";
  var store = window.localStorage;
  var waiting = false;
  var timer = 0;

  function keysAreOn() {
    try { return store.getItem("keys") !== "off"; } catch (e) { return true; }
  }

  function isTyping(target) {
    return target.isContentEditable || /^(INPUT|TEXTAREA|SELECT)$/.test(target.tagName);
  }

  function showKeys() {
    var list = document.getElementById("keys");
    if (list && list.showModal && !list.open) { list.showModal(); }
  }

  document.addEventListener("keydown", function (event) {
    if (event.ctrlKey || event.altKey || event.metaKey || isTyping(event.target) || !keysAreOn()) { return; }
    if (waiting) {
      waiting = false;
      window.clearTimeout(timer);
      var word = document.querySelector('a[data-letter="' + CSS.escape(event.key) + '"]');
      if (word) { event.preventDefault(); window.location.assign(word.href); }
      return;
    }
    if (event.key === "g") {
      waiting = true;
      timer = window.setTimeout(function () { waiting = false; }, 1500);
    } else if (event.key === "/") {
      var search = document.getElementById("find");
      if (search) { event.preventDefault(); search.focus(); search.select(); }
    } else if (event.key === "?") {
      event.preventDefault();
      showKeys();
    }
  });

  document.querySelectorAll("[data-keys]").forEach(function (link) {
    link.addEventListener("click", function (event) {
      var list = document.getElementById("keys");
      if (list && list.showModal) { event.preventDefault(); showKeys(); }
    });
  });

  document.querySelectorAll("[data-keys-switch]").forEach(function (line) {
    var box = line.querySelector("input");
    line.hidden = false;
    box.checked = keysAreOn();
    box.addEventListener("change", function () {
      try { store.setItem("keys", box.checked ? "on" : "off"); } catch (e) { /* private window */ }
    });
  });

  /* A table wider than the screen scrolls in its own frame: give that frame to the keyboard too. */
  function openWideTables(within) {
    within.querySelectorAll(".table-wrap").forEach(function (frame) {
      var wide = frame.scrollWidth > frame.clientWidth;
      var caption = frame.querySelector("caption");
      if (!wide) { frame.removeAttribute("tabindex"); frame.removeAttribute("role"); return; }
      frame.tabIndex = 0;
      frame.setAttribute("role", "region");
      frame.setAttribute("aria-label", caption ? caption.textContent.trim() : "Wide table");
    });
  }
  openWideTables(document);
  window.addEventListener("resize", function () { openWideTables(document); });
  document.addEventListener("htmx:afterSettle", function () { openWideTables(document); });

  document.querySelectorAll("[data-errors]").forEach(function (summary) { summary.focus(); });

  document.querySelectorAll("form[data-theme-switch]").forEach(function (form) {
    form.addEventListener("submit", function () {
      form.elements.back.value = window.location.pathname + window.location.search;
    });
  });

  document.addEventListener("change", function (event) {
    var all = event.target.closest("[data-select-all]");
    if (!all) { return; }
    var table = all.closest("table");
    table.querySelectorAll('tbody input[type="checkbox"]').forEach(function (box) { box.checked = all.checked; });
  });
}());
