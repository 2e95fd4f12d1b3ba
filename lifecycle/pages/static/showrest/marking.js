/* Mark a place on the numbered picture: a tap is a small box, a drag is a box of its own.
   The place is in percent of the picture from its top left corner. Without this script the
   form asks for a zone of the grid or for the four percentages. */
(function () {
  "use strict";
  var LEAST = 3; /* percent: the box a tap makes */
  var names = ["left", "top", "width", "height"];

  function percent(svg, event) {
    var box = svg.getBoundingClientRect();
    function held(value) { return Math.min(100, Math.max(0, value)); }
    return { x: held((event.clientX - box.left) * 100 / box.width), y: held((event.clientY - box.top) * 100 / box.height) };
  }

  function boxOf(a, b) {
    var left = Math.min(a.x, b.x), top = Math.min(a.y, b.y);
    var width = Math.abs(a.x - b.x), height = Math.abs(a.y - b.y);
    if (width < 1 && height < 1) {
      left = Math.min(100 - LEAST, Math.max(0, a.x - LEAST / 2));
      top = Math.min(100 - LEAST, Math.max(0, a.y - LEAST / 2));
      width = height = LEAST;
    }
    width = Math.min(Math.max(width, 1), 100);
    height = Math.min(Math.max(height, 1), 100);
    return { left: Math.min(left, 100 - width), top: Math.min(top, 100 - height), width: width, height: height };
  }

  function draw(svg, box) {
    var view = svg.viewBox.baseVal;
    ["new-mark-ground", "new-mark"].forEach(function (name) {
      var rect = svg.querySelector("rect." + name);
      if (!rect) {
        rect = document.createElementNS("http://www.w3.org/2000/svg", "rect");
        rect.setAttribute("class", name);
        svg.appendChild(rect);
      }
      rect.setAttribute("x", box.left * view.width / 100);
      rect.setAttribute("y", box.top * view.height / 100);
      rect.setAttribute("width", box.width * view.width / 100);
      rect.setAttribute("height", box.height * view.height / 100);
    });
  }

  function rounded(value) { return (Math.floor(value * 100) / 100).toFixed(2); }

  function zoneOf(box) {
    function third(value) { return Math.min(2, Math.floor(value * 3 / 100)); }
    return "ABC"[third(box.top + box.height / 2)] + "123"[third(box.left + box.width / 2)];
  }

  function watch(holder) {
    var svg = holder.querySelector("svg.numbered-picture");
    if (!svg || !window.PointerEvent) { return; }
    var start = null;
    var hint = holder.parentElement.querySelector("[data-mark-hint]");
    if (hint) { hint.hidden = false; }
    holder.classList.add("ready");

    function done(box) {
      if (holder.dataset.markHere) {
        var asked = names.map(function (name) { return "box_" + name + "=" + rounded(box[name]); });
        window.location.assign(holder.dataset.markHere + "&" + asked.join("&"));
        return;
      }
      names.forEach(function (name) {
        var field = document.getElementById(holder.dataset.markForm + name);
        field.value = rounded(box[name]);
        field.dispatchEvent(new Event("input", { bubbles: true }));
      });
      var zone = document.getElementById("id_zone");
      if (zone) { zone.value = zoneOf(box); }
      draw(svg, box);
    }

    function fromForm() {
      var box = {};
      names.forEach(function (name) { box[name] = parseFloat(document.getElementById(holder.dataset.markForm + name).value); });
      if (names.every(function (name) { return isFinite(box[name]); })) {
        draw(svg, box);
        var zone = document.getElementById("id_zone");
        if (zone && !zone.value) { zone.value = zoneOf(box); }
      }
    }

    svg.addEventListener("pointerdown", function (event) {
      if (event.button !== 0) { return; }
      start = percent(svg, event);
      if (event.pointerType !== "touch") { svg.setPointerCapture(event.pointerId); event.preventDefault(); }
    });
    svg.addEventListener("pointermove", function (event) {
      if (start) { draw(svg, boxOf(start, percent(svg, event))); }
    });
    svg.addEventListener("pointerup", function (event) {
      if (!start) { return; }
      var box = boxOf(start, percent(svg, event));
      start = null;
      done(box);
    });
    svg.addEventListener("pointercancel", function () { start = null; });
    holder.addEventListener("viewer:gesture", function () { start = null; });
    if (holder.dataset.markForm) { fromForm(); }
  }

  document.querySelectorAll("[data-mark-here], [data-mark-form]").forEach(watch);
}());
