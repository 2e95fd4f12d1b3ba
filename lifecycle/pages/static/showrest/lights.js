/* Slide, fade or blink between a picture and another one laid over it. Needs viewer.js.
   Blinking changes once in 0.8 s (well under 3 times a second, WCAG 2.2, 2.3.1) and is not
   offered where the device asks for less motion. */
(function () {
  "use strict";
  var BLINK_MS = 800;
  var less = window.matchMedia("(prefers-reduced-motion: reduce)");

  function begin(holder) {
    var svg = holder.querySelector("svg"), tools = holder.querySelector("[data-lights-tools]");
    var upper = svg.querySelector("[data-upper]"), slid = svg.querySelector("[data-slid]"), line = svg.querySelector("[data-slide-line]");
    if (!upper || !tools) { return; }
    var range = tools.querySelector("[data-lights-range]"), said = tools.querySelector("[data-lights-said]");
    var buttons = {}, width = svg.viewBox.baseVal.width, way = "slide", timer = 0, up = true;
    tools.querySelectorAll("[data-lights-do]").forEach(function (button) { buttons[button.dataset.lightsDo] = button; });

    function lay() {
      var share = range.valueAsNumber / 100;
      var from = way === "slide" ? width * (1 - share) : 0;
      slid.setAttribute("x", from);
      slid.setAttribute("width", width - from);
      upper.style.opacity = way === "fade" ? share : (way === "slide" || up ? 1 : 0);
      line.style.display = way === "slide" && share > 0 && share < 1 ? "" : "none";
      line.querySelectorAll("line").forEach(function (one) { one.setAttribute("x1", from); one.setAttribute("x2", from); });
      range.disabled = way === "swap" || way === "blink";
    }

    function tell() {
      said.textContent = way === "swap" || way === "blink" ? (up ? said.dataset.upper : said.dataset.lower) : range.value + " %";
    }

    function choose(next) {
      window.clearInterval(timer);
      timer = 0;
      if (next === "blink" && less.matches) { next = "swap"; }
      up = next !== "swap" || (way === "swap" && !up); /* the first swap shows the lower one */
      way = next;
      ["slide", "fade", "blink"].forEach(function (name) { buttons[name].setAttribute("aria-pressed", String(name === way)); });
      if (way === "blink") {
        timer = window.setInterval(function () { up = !up; lay(); }, BLINK_MS);
      }
      lay();
      if (way !== "blink") { tell(); } else { said.textContent = ""; }
    }

    function stillness() {
      buttons.blink.hidden = less.matches;
      tools.querySelector("[data-lights-still]").hidden = !less.matches;
      if (less.matches && way === "blink") { choose("swap"); }
    }

    tools.addEventListener("click", function (event) {
      var button = event.target.closest("[data-lights-do]");
      if (button) { choose(button.dataset.lightsDo === "blink" && way === "blink" ? "slide" : button.dataset.lightsDo); }
    });
    range.addEventListener("input", function () { lay(); tell(); });
    less.addEventListener("change", stillness);
    tools.hidden = false;
    stillness();
    choose("slide");
  }

  document.querySelectorAll("[data-lights]").forEach(begin);
}());
