/* Plans of galleries: put points on one by tapping (needs viewer.js); on the walk, tell which point is next.
   Without this script places are written in per cent, and the next point is the one the page was made with. */
(function () {
  "use strict";
  var SVG = "http://www.w3.org/2000/svg";

  function putting(holder) {
    var svg = holder.querySelector("svg"), size = parseFloat(svg.dataset.letters), view = svg.viewBox.baseVal;
    var rows = Array.from(document.querySelectorAll("[data-put]")), chosen = null;
    function fields(row) { return row.querySelectorAll("input"); }
    function lies(row) { var two = fields(row); return two[0].value !== "" && two[1].value !== ""; }
    function number(text) { return parseFloat(String(text).replace(",", ".")); }
    function part(group, name, values) {
      var one = document.createElementNS(SVG, name);
      Object.keys(values).forEach(function (key) { one.setAttribute(key, values[key]); });
      group.appendChild(one);
      return one;
    }
    function draw() {
      svg.querySelectorAll("g.put").forEach(function (old) { old.remove(); });
      rows.forEach(function (row) {
        if (!lies(row)) { return; }
        var two = fields(row), x = number(two[0].value) * view.width / 100, y = number(two[1].value) * view.height / 100;
        if (!isFinite(x) || !isFinite(y)) { return; }
        var group = document.createElementNS(SVG, "g"), label = row.dataset.label, wide = size * (0.64 * label.length + 0.8);
        var left = Math.min(Math.max(x - wide / 2, 0), view.width - wide), top = y < size * 2.4 ? y + size * 0.7 : y - size * 2.2;
        group.setAttribute("class", "put" + (row === chosen ? " next" : ""));
        part(group, "circle", { "class": "ring", cx: x, cy: y, r: size * 0.42, "stroke-width": size * 0.12 });
        part(group, "circle", { "class": "dot", cx: x, cy: y, r: size * 0.2 });
        part(group, "rect", { "class": "plate", x: left, y: top, width: wide, height: size * 1.5, rx: size * 0.25, "stroke-width": size * 0.1 });
        part(group, "text", { x: left + wide / 2, y: top + size * 1.1, "text-anchor": "middle", "font-size": size, "font-weight": 700 }).textContent = label;
        svg.appendChild(group);
      });
    }
    function choose(row) {
      chosen = row;
      rows.forEach(function (one) { one.querySelector("[data-put-next]").setAttribute("aria-pressed", String(one === row)); });
      draw();
    }
    function put(row, x, y) {
      [x * 100 / view.width, y * 100 / view.height].forEach(function (value, i) {
        fields(row)[i].value = String(Math.round(Math.min(100, Math.max(0, value)) * 100) / 100);
        fields(row)[i].dispatchEvent(new Event("input", { bubbles: true }));
      });
    }
    rows.forEach(function (row) {
      var button = row.querySelector("[data-put-next]");
      button.hidden = false;
      button.addEventListener("click", function () { choose(row); holder.scrollIntoView({ block: "nearest" }); });
      fields(row).forEach(function (field) {
        field.addEventListener("focus", function () { choose(row); });
        field.addEventListener("input", draw);
      });
    });
    svg.addEventListener("click", function (event) {
      if (!holder.viewer || !chosen) { return; }
      var at = holder.viewer.toPicture(event.clientX, event.clientY), after = rows.indexOf(chosen);
      put(chosen, at.x, at.y);
      choose(rows.slice(after).concat(rows.slice(0, after)).find(function (row) { return !lies(row); }) || chosen);
    });
    if (rows.length) { choose(rows.find(function (row) { return !lies(row); }) || rows[0]); }
    rows.length && fields(rows[0])[0].form.addEventListener("draft:back", draw);
    document.querySelectorAll("[data-plan-hint]").forEach(function (hint) { hint.hidden = false; });
  }
  document.querySelectorAll("[data-plan]").forEach(putting);

  function walking(list) {
    function next(line) {
      document.querySelectorAll("figure.plan .spot").forEach(function (spot) { spot.classList.toggle("next", spot.dataset.spot === line.dataset.point); });
    }
    list.addEventListener("focusin", function (event) {
      var line = event.target.closest("[data-point]");
      if (line) { next(line); }
    });
    list.addEventListener("change", function () {
      var open = Array.from(list.querySelectorAll("[data-point]")).find(function (line) { return !line.querySelector("[name^=lux_]").value; });
      if (open && !list.contains(document.activeElement)) { next(open); }
    });
  }
  document.querySelectorAll(".walk").forEach(walking);
}());
