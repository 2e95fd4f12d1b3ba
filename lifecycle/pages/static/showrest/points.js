/* Mark common points: a tap on each picture fills the four fields of one point. Needs viewer.js.
   Without this script the pixels are written by hand. */
(function () {
  "use strict";
  var SVG = "http://www.w3.org/2000/svg", MOST = 4;
  var sides = Array.from(document.querySelectorAll("[data-points]"));
  var chosen = { lower: 0, upper: 0 };

  function field(side, axis, number) { return document.getElementById("id_" + side + "_" + axis + number); }
  function written(side, number) { return field(side, "x", number).value !== "" && field(side, "y", number).value !== ""; }

  function next(side) {
    if (chosen[side]) { return chosen[side]; }
    for (var number = 1; number <= MOST; number += 1) { if (!written(side, number)) { return number; } }
    return MOST;
  }

  function draw(holder) {
    var side = holder.dataset.points, svg = holder.querySelector("svg"), view = svg.viewBox.baseVal;
    svg.querySelectorAll("g.common-point").forEach(function (old) { old.remove(); });
    for (var number = 1; number <= MOST; number += 1) {
      if (!written(side, number)) { continue; }
      var x = parseFloat(field(side, "x", number).value), y = parseFloat(field(side, "y", number).value), r = view.width / 60;
      var group = document.createElementNS(SVG, "g");
      group.setAttribute("class", "common-point");
      ["ground", "line"].forEach(function (kind) {
        var cross = document.createElementNS(SVG, "path");
        cross.setAttribute("class", kind);
        cross.setAttribute("d", "M" + (x - r) + " " + y + "H" + (x + r) + "M" + x + " " + (y - r) + "V" + (y + r));
        group.appendChild(cross);
      });
      var text = document.createElementNS(SVG, "text");
      text.setAttribute("x", x + r * 0.4);
      text.setAttribute("y", y - r * 0.4);
      text.setAttribute("font-size", r * 1.4);
      text.textContent = number;
      group.appendChild(text);
      svg.appendChild(group);
    }
  }

  sides.forEach(function (holder) {
    var side = holder.dataset.points, svg = holder.querySelector("svg");
    svg.addEventListener("click", function (event) {
      if (!holder.viewer) { return; }
      var at = holder.viewer.toPicture(event.clientX, event.clientY), number = next(side);
      field(side, "x", number).value = at.x.toFixed(1);
      field(side, "y", number).value = at.y.toFixed(1);
      chosen[side] = 0;
      draw(holder);
    });
    for (var number = 1; number <= MOST; number += 1) {
      ["x", "y"].forEach(function (axis) {
        var input = field(side, axis, number), own = number;
        input.addEventListener("focus", function () { chosen.lower = chosen.upper = own; });
        input.addEventListener("input", function () { draw(holder); });
      });
    }
    draw(holder);
  });
  var hint = document.querySelector("[data-points-hint]");
  if (hint && sides.length) { hint.hidden = false; }
}());
