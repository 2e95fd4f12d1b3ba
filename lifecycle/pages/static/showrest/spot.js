/* A tap on the picture writes the place of a colour spot into its two fields, and typing moves the
   ring. Without this script the two figures are typed. */
(function () {
  "use strict";
  var holder = document.querySelector("[data-tap-spot]");
  var svg = holder && holder.querySelector("svg");
  var left = document.querySelector("[name=box_left]"), top = document.querySelector("[name=box_top]");
  if (!svg || !left || !top) { return; }
  var box = svg.viewBox.baseVal, ring = [];

  ["#fff", "#000"].forEach(function (colour, row) {
    var one = document.createElementNS("http://www.w3.org/2000/svg", "circle");
    one.setAttribute("r", box.width / 60);
    one.setAttribute("fill", "none");
    one.setAttribute("stroke", colour);
    one.setAttribute("stroke-width", box.width / (row ? 400 : 150));
    svg.appendChild(one);
    ring.push(one);
  });

  function draw() {
    var known = left.value !== "" && top.value !== "";
    ring.forEach(function (one) {
      one.setAttribute("visibility", known ? "visible" : "hidden");
      one.setAttribute("cx", box.x + box.width * left.value / 100);
      one.setAttribute("cy", box.y + box.height * top.value / 100);
    });
  }

  function percent(part) { return String(Math.round(Math.min(100, Math.max(0, part * 100)) * 10) / 10); }

  svg.addEventListener("click", function (event) {
    var place = new DOMPoint(event.clientX, event.clientY).matrixTransform(svg.getScreenCTM().inverse());
    left.value = percent((place.x - box.x) / box.width);
    top.value = percent((place.y - box.y) / box.height);
    draw();
    [left, top].forEach(function (field) { field.dispatchEvent(new Event("input", { bubbles: true })); });
  });
  [left, top].forEach(function (field) { field.addEventListener("input", draw); });
  holder.classList.add("mark-here", "ready");
  draw();
})();
