/* Mark a place on the numbered picture by mouse, finger or keys: point, box, line, outline.
   What is drawn is written into the form's own fields, in percent of the picture; typed there, it is
   drawn. Without this script the fields are filled in by hand, or the zone of the grid is named.

   <div data-marking="here|form|scale" data-mark-face="left top width height" [data-mark-mm]>
   - here: what is finished opens the form at data-mark-here;
   - form: shape, places, unit, zone; scale: a line goes to the ruler, a box to the edges.
   It lies on the viewer (viewer.js): one finger marks, two fingers and the wheel move and zoom. */
(function () {
  "use strict";
  var SVG = "http://www.w3.org/2000/svg", MOVED = 6, NEAR = 18, SEP = ", ";
  var LEAST = { point: 1, box: 2, line: 2, outline: 3 };

  function $(name) { return document.getElementById(name); }
  function held(value, most) { return Math.min(most, Math.max(0, value)); }
  function copy(mark) { return { shape: mark.shape, points: mark.points.map(function (p) { return { x: p.x, y: p.y }; }) }; }
  function far(a, b) { return Math.hypot(a.x - b.x, a.y - b.y); }
  function tidy(value) { return String(Math.round(value * 10000) / 10000); }

  function watch(holder) {
    var svg = holder.querySelector("svg[viewBox]"), tools = holder.querySelector("[data-mark-tools]");
    if (!svg || !tools || !window.PointerEvent) { return; }
    var W = svg.viewBox.baseVal.width, H = svg.viewBox.baseVal.height, mode = holder.dataset.marking;
    var face = (holder.dataset.markFace || "0 0 " + W + " " + H).split(" ").map(Number), mm = parseFloat(holder.dataset.markMm) || 0;
    var said = tools.querySelector("[data-mark-said]"), keys = tools.querySelector("[data-mark-keys]"), use = tools.querySelector("[data-mark-use]");
    var tool = mode === "scale" ? "line" : "point", mark = { shape: "", points: [] }, past = [], coming = [], chosen = -1;
    var cross = { x: W / 2, y: H / 2 }, drag = null, waiting = 0, kept = { line: null, box: null };
    var layer = document.createElementNS(SVG, "g");
    layer.setAttribute("class", "new-mark");
    svg.appendChild(layer);
    tools.hidden = false;
    holder.classList.add("ready");

    function pixel() { return W / svg.getBoundingClientRect().width; }
    function at(event) {
      var box = svg.getBoundingClientRect();
      return { x: held((event.clientX - box.left) * W / box.width, W), y: held((event.clientY - box.top) * H / box.height, H) };
    }

    /* ---- drawing: only this layer changes while one draws, whatever else is on the picture */
    function part(name, values, className) {
      var one = document.createElementNS(SVG, name);
      Object.keys(values).forEach(function (key) { one.setAttribute(key, values[key]); });
      one.setAttribute("class", className);
      layer.appendChild(one);
      return one;
    }
    function corners() {
      if (mark.shape !== "box" || mark.points.length < 2) { return mark.points; }
      var a = mark.points[0], b = mark.points[1];
      return [a, { x: b.x, y: a.y }, b, { x: a.x, y: b.y }];
    }
    function draw() {
      waiting = 0;
      layer.replaceChildren();
      tools.querySelector("[data-mark-do=finish]").disabled = !whole();
      if (use) { use.hidden = !(mm && mark.shape === "line" && whole() && $("id_length_mm")); }
      var path = corners().map(function (p) { return p.x.toFixed(1) + "," + p.y.toFixed(1); }).join(" ");
      var name = mark.shape === "line" || mark.points.length < 3 && mark.shape !== "box" ? "polyline" : "polygon";
      if (mark.points.length > 1) {
        part(name, { points: path }, "mark-ground");
        part(name, { points: path, "data-whole": "" }, "mark-line");
      }
      mark.points.forEach(function (p, i) { part("circle", { cx: p.x, cy: p.y, "data-corner": i }, "mark-corner" + (i === chosen ? " chosen" : "")); });
      if (keys === document.activeElement) {
        var arm = 14 * pixel();
        part("path", { d: "M" + (cross.x - arm) + " " + cross.y + "h" + 2 * arm + "M" + cross.x + " " + (cross.y - arm) + "v" + 2 * arm }, "mark-cross");
      }
    }
    function soon() { if (!waiting) { waiting = window.requestAnimationFrame(draw); } }

    /* ---- words, for whoever does not see it */
    function cell(p) {
      function third(value, from, wide) { return Math.min(2, Math.max(0, Math.floor((value - from) * 3 / wide))); }
      return "ABC"[third(p.y, face[1], face[3])] + "123"[third(p.x, face[0], face[2])];
    }
    function offset(p) {
      if (mm) { return ((p.x - face[0]) * mm).toFixed(0) + " mm from left, " + ((p.y - face[1]) * mm).toFixed(0) + " mm from top"; }
      return (p.x * 100 / W).toFixed(1) + " % from left, " + (p.y * 100 / H).toFixed(1) + " % from top";
    }
    function length() { return mark.points.reduce(function (sum, p, i) { return i ? sum + far(p, mark.points[i - 1]) : 0; }, 0); }
    function size() {
      if (!mm || mode === "scale" || !whole()) { return ""; }
      if (mark.shape === "line") { return "; about " + (length() * mm).toPrecision(2) * 1 + " mm long"; }
      if (mark.shape === "point") { return ""; }
      var c = corners(), twice = c.reduce(function (sum, p, i) { var q = c[(i + 1) % c.length]; return sum + p.x * q.y - q.x * p.y; }, 0);
      return "; about " + (Math.abs(twice) / 2 * mm * mm).toPrecision(2) * 1 + " mm²";
    }
    function whole() { return Boolean(mark.shape) && mark.points.length >= LEAST[mark.shape]; }
    function middle() {
      var c = mark.points, x = c.map(function (p) { return p.x; }), y = c.map(function (p) { return p.y; });
      return { x: (Math.min.apply(null, x) + Math.max.apply(null, x)) / 2, y: (Math.min.apply(null, y) + Math.max.apply(null, y)) / 2 };
    }
    function tell(text) { said.textContent = text; }
    function tellMark(p, what) { tell((what ? what + ": " : "") + offset(p) + ", cell " + cell(p) + size()); }

    /* ---- the form's fields */
    function put(field, value) {
      if (!field || field.value === value) { return; }
      field.value = value;
      field.dispatchEvent(new Event("input", { bubbles: true }));
    }
    function places() { return mark.points.map(function (p) { return tidy(p.x * 100 / W) + SEP + tidy(p.y * 100 / H); }); }
    function write() {
      if (mode === "scale") {
        if (whole()) { kept[mark.shape] = copy(mark); put($(mark.shape === "line" ? "id_ruler" : "id_edges"), places().join("\n")); }
      } else if (mode === "form") {
        put($("id_unit"), "picture");
        put($("id_shape"), whole() ? mark.shape : "");
        put($("id_places"), whole() ? places().join("\n") : "");
        if (whole()) { put($("id_zone"), cell(middle())); }
        if (whole() || !mark.points.length) { $("id_places").dispatchEvent(new Event("change", { bubbles: true })); }
      }
    }
    function keep(before, what, p) {
      past.push(before);
      coming = [];
      write();
      soon();
      tellMark(p || middle(), what);
      if (mode === "here" && whole() && (mark.shape === "point" || mark.shape === "box")) { finish(); }
      if (mode === "scale" && mark.shape === "line" && mark.points.length > 2) { mark.points = mark.points.slice(-2); write(); soon(); }
    }
    function finish() {
      if (!whole()) { tell("A " + (mark.shape || tool) + " needs " + LEAST[mark.shape || tool] + " points."); return; }
      if (mode !== "here") { tell("The mark stands. Move a corner, or save the form."); return; }
      window.location.assign(holder.dataset.markHere + "&shape=" + mark.shape + "&zone=" + cell(middle()) + "&places=" + encodeURIComponent(places().join(";")));
    }
    function back(from, to, what) {
      if (!from.length) { tell("Nothing to " + what + "."); return; }
      to.push(copy(mark));
      mark = from.pop();
      chosen = -1;
      write();
      soon();
      tell((what === "undo" ? "Undone. " : "Done again. ") + (mark.points.length ? mark.shape + ", " + mark.points.length + " points" : "No mark."));
    }
    function add(p) {
      var before = copy(mark), shape = tool;
      if (mark.shape !== shape || (shape === "point" || shape === "box") && whole()) { mark = { shape: shape, points: [] }; }
      if (shape === "outline" && mark.points.length >= 3 && far(p, mark.points[0]) < NEAR * pixel()) { finish(); return; }
      mark.points.push(p);
      chosen = -1;
      keep(before, shape + (LEAST[shape] > 1 ? ", point " + mark.points.length : ""), p);
    }

    /* ---- pointer */
    svg.addEventListener("pointerdown", function (event) {
      if (event.button !== 0 || tool === "look") { return; }
      var corner = event.target.dataset.corner, p = at(event);
      var near = mark.points.findIndex(function (q) { return far(p, q) < NEAR * pixel() / 2; });
      drag = { id: event.pointerId, from: p, last: p, before: copy(mark), moved: false, touch: event.pointerType === "touch" };
      if (mode !== "here" || mark.shape === "line" || mark.shape === "outline") {
        drag.corner = corner === undefined ? near : Number(corner);
        drag.whole = drag.corner < 0 && whole() && "whole" in event.target.dataset && mode === "form";
      } else { drag.corner = -1; }
      if (!drag.touch) { svg.setPointerCapture(event.pointerId); event.preventDefault(); }
    });
    svg.addEventListener("pointermove", function (event) {
      if (!drag || drag.id !== event.pointerId) { return; }
      var p = at(event);
      if (!drag.moved && far(p, drag.from) < MOVED * pixel()) { return; }
      drag.moved = true;
      if (drag.corner >= 0) { mark.points[drag.corner] = p; }
      else if (drag.whole) { mark.points = mark.points.map(function (q) { return { x: held(q.x + p.x - drag.last.x, W), y: held(q.y + p.y - drag.last.y, H) }; }); }
      else if (tool === "box" || tool === "point" && !drag.touch) { mark = { shape: "box", points: [drag.from, p] }; }
      drag.last = p;
      soon();
    });
    svg.addEventListener("pointerup", function (event) {
      if (!drag || drag.id !== event.pointerId) { return; }
      var done = drag, p = at(event);
      drag = null;
      if (done.moved && (done.corner >= 0 || done.whole)) { keep(done.before, "Moved", done.corner >= 0 ? p : null); }
      else if (done.moved && mark.shape === "box" && (tool === "box" || tool === "point" && !done.touch)) { keep(done.before, "box"); }
      else if (done.moved && done.touch && tool === "point") { soon(); }
      else if (done.corner >= 0 && !done.moved && tool !== "point") { if (tool === "outline" && done.corner === 0) { finish(); } else { chosen = done.corner; soon(); } }
      else { add(p); }
    });
    function drop() { if (drag) { mark = drag.before; drag = null; soon(); } }
    svg.addEventListener("pointercancel", drop);
    holder.addEventListener("viewer:gesture", drop);
    svg.addEventListener("dblclick", function (event) { if (tool !== "look") { event.preventDefault(); finish(); } });

    /* ---- keys */
    function shift(p, dx, dy) { return { x: held(p.x + dx, W), y: held(p.y + dy, H) }; }
    function see(p) {
      var seen = holder.viewer && holder.viewer.part();
      if (seen && (p.x < seen.left || p.x > seen.right || p.y < seen.top || p.y > seen.bottom)) {
        var wide = seen.right - seen.left, high = seen.bottom - seen.top;
        holder.viewer.show(p.x - wide / 2, p.y - high / 2, wide, high);
      }
    }
    var ways = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };
    keys.addEventListener("keydown", function (event) {
      var key = event.key, control = event.ctrlKey || event.metaKey, done = true, before = copy(mark);
      if (control && (key === "z" || key === "Z")) { if (event.shiftKey) { back(coming, past, "redo"); } else { back(past, coming, "undo"); } }
      else if (control && key === "y") { back(coming, past, "redo"); }
      else if (control) { return; }
      else if (ways[key]) {
        var step = Math.max(W, H) / (event.shiftKey ? 1000 : 100) / (holder.viewer ? holder.viewer.scale() : 1), dx = ways[key][0] * step, dy = ways[key][1] * step;
        if (event.altKey && whole()) { mark.points = mark.points.map(function (p) { return shift(p, dx, dy); }); keep(before, "Moved"); }
        else if (chosen >= 0) { mark.points[chosen] = shift(mark.points[chosen], dx, dy); see(mark.points[chosen]); keep(before, "Corner " + (chosen + 1), mark.points[chosen]); }
        else { cross = shift(cross, dx, dy); see(cross); soon(); tellMark(cross); }
      }
      else if (key === "Enter" || key === " ") { if (chosen >= 0) { chosen = -1; soon(); } else { add({ x: cross.x, y: cross.y }); } }
      else if (key === "Backspace" && mark.points.length) { mark.points.pop(); keepLess(before); }
      else if (key === "Delete" && mark.points.length) { if (chosen >= 0) { mark.points.splice(chosen, 1); } else { mark = { shape: "", points: [] }; } keepLess(before); }
      else if ((key === "n" || key === "p") && mark.points.length) {
        chosen = (chosen + (key === "n" ? 1 : mark.points.length - 1) + (chosen < 0 && key === "p" ? 1 : 0)) % mark.points.length;
        soon();
        tellMark(mark.points[chosen], "Corner " + (chosen + 1) + " of " + mark.points.length);
      }
      else if (key === "f") { finish(); }
      else if (key === "Escape" && chosen >= 0) { chosen = -1; soon(); }
      else { done = false; }
      if (done) { event.preventDefault(); event.stopPropagation(); }
    });
    function keepLess(before) {
      chosen = -1;
      past.push(before);
      coming = [];
      write();
      soon();
      tell(mark.points.length ? mark.points.length + " points left." : "No mark.");
    }
    keys.addEventListener("focus", soon);
    keys.addEventListener("blur", soon);

    /* ---- tools */
    function choose(name) {
      tool = name;
      holder.dataset.viewerTool = name === "look" ? "look" : "mark";
      holder.classList.toggle("drawing", name !== "look" && name !== "point");
      tools.querySelectorAll("[data-mark-tool]").forEach(function (button) { button.setAttribute("aria-pressed", String(button.dataset.markTool === name)); });
      if (mode === "scale" && kept[name]) { mark = copy(kept[name]); }
      else if (mode === "scale") { mark = { shape: "", points: [] }; }
      soon();
    }
    var deeds = {
      undo: function () { back(past, coming, "undo"); },
      redo: function () { back(coming, past, "redo"); },
      finish: finish,
      clear: function () { var before = copy(mark); mark = { shape: "", points: [] }; keepLess(before); }
    };
    tools.addEventListener("click", function (event) {
      var button = event.target.closest("button");
      if (!button) { return; }
      if (button.dataset.markTool) { choose(button.dataset.markTool); }
      if (button.dataset.markDo) { deeds[button.dataset.markDo](); }
      if (button === use) { put($("id_length_mm"), (length() * mm).toFixed(1)); $("id_length_mm").dispatchEvent(new Event("change", { bubbles: true })); }
    });

    /* ---- what stands in the form is drawn, and drawn again when somebody types it */
    function read(text, unit) {
      var rows = text.split(/[;\n]/).map(function (row) { return row.trim(); }).filter(Boolean);
      return rows.map(function (row) {
        var two = row.replace(",", " ").split(/\s+/).map(Number);
        if (two.length !== 2 || !isFinite(two[0]) || !isFinite(two[1])) { return null; }
        if (unit === "face") { return { x: face[0] + two[0] * face[2] / 100, y: face[1] + two[1] * face[3] / 100 }; }
        if (unit === "mm") { return mm ? { x: face[0] + two[0] / mm, y: face[1] + two[1] / mm } : null; }
        return { x: two[0] * W / 100, y: two[1] * H / 100 };
      });
    }
    function fromField(shape, field, unit) {
      var points = field && field.value ? read(field.value, unit) : [];
      if (!shape || !points.length || points.some(function (p) { return !p; })) { return null; }
      return { shape: shape, points: points };
    }
    function fromForm() {
      if (drag) { return; }
      mark = fromField($("id_shape").value, $("id_places"), $("id_unit").value) || { shape: "", points: [] };
      if (mark.shape && tool !== "look") { choose(mark.shape); }
      if (mark.points.length) { cross = { x: mark.points[0].x, y: mark.points[0].y }; }
      soon();
    }
    if (mode === "form") {
      fromForm();
      ["id_shape", "id_places", "id_unit"].forEach(function (name) {
        $(name).addEventListener("change", function (event) { if (!event.isTrusted) { return; }
          past.push(copy(mark));
          fromForm();
          if (whole()) { put($("id_zone"), cell(middle())); } });
      });
      $("id_places").form.addEventListener("draft:back", fromForm);
    } else if (mode === "scale") {
      kept.line = fromField("line", $("id_ruler"), "picture");
      kept.box = fromField("box", $("id_edges"), "picture");
      choose("line");
    }
    draw();
  }

  document.querySelectorAll("[data-marking]").forEach(watch);
}());
