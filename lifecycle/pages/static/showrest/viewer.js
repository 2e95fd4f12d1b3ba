/* Zoom and move a picture by mouse, touch and keys. Without this script it is a plain picture.

   <div data-viewer [data-viewer-group="name"] [data-viewer-tool="mark"]>one svg, tools</div>

   The svg's viewBox is the picture in its own pixels. The script lays the svg into a window that
   clips it and moves it by a transform, so its getBoundingClientRect() stays the whole picture.
   - data-viewer-group: viewers of one group show the same part at the same magnification.
   - data-viewer-tool: "mark" leaves dragging with one finger or the main button to the marker;
     two fingers, wheel, keys, the middle button and dragging with the space bar still move.
   - holder.viewer: toPicture(clientX, clientY), show(left, top, width, height), whole(), scale().
   - events on the holder: viewer:ready, viewer:moved, and viewer:gesture when two fingers took
     over (whatever one finger has begun is dropped).
   - --viewer-pixel on the holder: picture pixels in one CSS pixel, for lines that stay thin.
   - <image data-tiles="…/{level}/{column}-{row}/" data-tile-side data-tile-levels>: finer parts. */
(function () {
  "use strict";
  var STEP = 1.5, NUDGE = 0.15, HIGHEST_PART = 0.85, CLOSEST = 4, LEAST_MOST = 8, MOVED = 4;
  var SVG = "http://www.w3.org/2000/svg";
  var groups = {};

  function between(value, least, most) { return Math.min(Math.max(value, least), most); }

  /* The finer parts of one <image>, for what is seen of it. */
  function tilesOf(image, view) {
    var side = parseFloat(image.dataset.tileSide), levels = parseInt(image.dataset.tileLevels, 10);
    var full = { w: image.width.baseVal.value, h: image.height.baseVal.value };
    var layer = document.createElementNS(SVG, "g");
    image.after(layer);
    var held = {};

    function inLayer(x, y) {
      var moved = image.closest("[data-layer]");
      var list = moved && moved.transform.baseVal.consolidate();
      if (!list) { return { x: x, y: y }; }
      var back = list.matrix.inverse();
      return { x: back.a * x + back.c * y + back.e, y: back.b * x + back.d * y + back.f };
    }

    function put(level, column, row) {
      var key = level + "/" + column + "-" + row;
      if (held[key]) { return key; }
      var size = side * Math.pow(2, level);
      var tile = document.createElementNS(SVG, "image");
      tile.setAttribute("x", column * size);
      tile.setAttribute("y", row * size);
      tile.setAttribute("width", Math.min(size, full.w - column * size));
      tile.setAttribute("height", Math.min(size, full.h - row * size));
      tile.setAttribute("preserveAspectRatio", "none");
      tile.setAttribute("href", image.dataset.tiles.replace("{level}", level).replace("{column}", column).replace("{row}", row));
      tile.addEventListener("error", function () { tile.remove(); });
      layer.appendChild(tile);
      held[key] = tile;
      return key;
    }

    return function () {
      var seen = view();
      var fine = seen.pixel / (window.devicePixelRatio || 1); /* picture pixels per screen dot */
      var level = between(Math.floor(Math.log2(Math.max(fine, 1e-6))), 0, levels - 1);
      var coarse = Math.max(full.w, full.h) / 1600;
      var wanted = {};
      if (fine < coarse) {
        var corners = [[seen.left, seen.top], [seen.right, seen.top], [seen.left, seen.bottom], [seen.right, seen.bottom]]
          .map(function (one) { return inLayer(one[0], one[1]); });
        var xs = corners.map(function (one) { return one.x; }), ys = corners.map(function (one) { return one.y; });
        var size = side * Math.pow(2, level);
        var last = { c: Math.ceil(full.w / size) - 1, r: Math.ceil(full.h / size) - 1 };
        var from = { c: Math.max(0, Math.floor(Math.min.apply(null, xs) / size)), r: Math.max(0, Math.floor(Math.min.apply(null, ys) / size)) };
        var to = { c: Math.min(last.c, Math.floor(Math.max.apply(null, xs) / size)), r: Math.min(last.r, Math.floor(Math.max.apply(null, ys) / size)) };
        for (var row = from.r; row <= to.r; row += 1) {
          for (var column = from.c; column <= to.c; column += 1) { wanted[put(level, column, row)] = true; }
        }
      }
      Object.keys(held).forEach(function (key) {
        if (!wanted[key]) { held[key].remove(); delete held[key]; }
      });
    };
  }

  function begin(holder) {
    var svg = holder.querySelector("svg[viewBox]");
    if (!svg || !window.PointerEvent || holder.viewer) { return; }
    var box = svg.viewBox.baseVal;
    var win = document.createElement("div");
    win.className = "viewer-window";
    win.tabIndex = 0;
    win.setAttribute("role", "group");
    win.setAttribute("aria-label", holder.dataset.viewerName || svg.getAttribute("aria-label") || "");
    svg.before(win);
    win.appendChild(svg);
    holder.classList.add("viewer-ready");

    var tools = holder.querySelector("[data-viewer-tools]");
    var told = holder.querySelector("[data-viewer-scale]");
    var scale = 1, x = 0, y = 0, fit = { w: 1, h: 1, W: 1, H: 1 };
    var mates = holder.dataset.viewerGroup ? (groups[holder.dataset.viewerGroup] = groups[holder.dataset.viewerGroup] || []) : [];
    var finer = [], waiting = 0;

    function most() { return Math.max(LEAST_MOST, CLOSEST * box.width / fit.w); }

    function measure() {
      var W = win.clientWidth || 1;
      var highest = holder.matches(":fullscreen") ? win.clientHeight : Math.max(240, window.innerHeight * HIGHEST_PART);
      fit.W = W;
      fit.H = Math.min(W * box.height / box.width, highest);
      fit.w = Math.min(W, fit.H * box.width / box.height);
      fit.h = fit.w * box.height / box.width;
      win.style.height = fit.H + "px";
      svg.style.width = fit.w + "px";
      svg.style.height = fit.h + "px";
    }

    function lay() {
      var w = fit.w * scale, h = fit.h * scale;
      x = w <= fit.W ? (fit.W - w) / 2 : between(x, fit.W - w, 0);
      y = h <= fit.H ? (fit.H - h) / 2 : between(y, fit.H - h, 0);
      svg.style.transform = "translate(" + x + "px," + y + "px) scale(" + scale + ")";
      win.classList.toggle("closer", scale > 1.001);
      holder.style.setProperty("--viewer-pixel", box.width / w);
      if (told) { told.textContent = "× " + scale.toFixed(1); }
      if (!waiting) {
        waiting = window.requestAnimationFrame(function () {
          waiting = 0;
          finer.forEach(function (look) { look(); });
          holder.dispatchEvent(new CustomEvent("viewer:moved", { bubbles: true, detail: { scale: scale } }));
        });
      }
    }

    function middle() { return { x: (fit.W / 2 - x) / (fit.w * scale), y: (fit.H / 2 - y) / (fit.h * scale), scale: scale }; }

    function follow(seen) {
      scale = between(seen.scale, 1, most());
      x = fit.W / 2 - seen.x * fit.w * scale;
      y = fit.H / 2 - seen.y * fit.h * scale;
      lay();
    }

    function moved() {
      lay();
      mates.forEach(function (mate) { if (mate !== follow) { mate(middle()); } });
    }

    /* Magnify about a point of the window that stays where it is. */
    function zoom(factor, px, py) {
      var next = between(scale * factor, 1, most());
      x = px - (px - x) * next / scale;
      y = py - (py - y) * next / scale;
      scale = next;
      moved();
    }

    function nudge(dx, dy) { x += dx * fit.W * NUDGE; y += dy * fit.H * NUDGE; moved(); }

    var deeds = {
      in: function () { zoom(STEP, fit.W / 2, fit.H / 2); },
      out: function () { zoom(1 / STEP, fit.W / 2, fit.H / 2); },
      whole: function () { scale = 1; moved(); },
      pixels: function () { zoom(box.width / fit.w / scale, fit.W / 2, fit.H / 2); }
    };

    function inWindow(event) {
      var frame = win.getBoundingClientRect();
      return { x: event.clientX - frame.left - win.clientLeft, y: event.clientY - frame.top - win.clientTop };
    }

    var fingers = new Map(), drag = null, pinch = null, space = false;

    function spread() {
      var two = Array.from(fingers.values()).slice(0, 2);
      return { x: (two[0].x + two[1].x) / 2, y: (two[0].y + two[1].y) / 2, d: Math.max(1, Math.hypot(two[0].x - two[1].x, two[0].y - two[1].y)) };
    }

    win.addEventListener("pointerdown", function (event) {
      var at = inWindow(event);
      if (event.pointerType === "touch") { fingers.set(event.pointerId, at); }
      if (fingers.size >= 2) {
        pinch = spread();
        drag = null;
        holder.dispatchEvent(new CustomEvent("viewer:gesture", { bubbles: true }));
        event.stopPropagation();
        return;
      }
      var marking = holder.dataset.viewerTool === "mark" && event.button === 0 && !space;
      if (!marking && (event.button === 0 || event.button === 1)) {
        drag = { id: event.pointerId, x: at.x, y: at.y, begun: false };
        if (event.button === 1 || space) { event.preventDefault(); event.stopPropagation(); }
      }
    }, true);

    win.addEventListener("pointermove", function (event) {
      var at = inWindow(event);
      if (fingers.has(event.pointerId)) { fingers.set(event.pointerId, at); }
      if (pinch && fingers.size >= 2) {
        var now = spread();
        x += now.x - pinch.x;
        y += now.y - pinch.y;
        zoom(now.d / pinch.d, now.x, now.y);
        pinch = now;
        event.stopPropagation();
        return;
      }
      if (!drag || drag.id !== event.pointerId) { return; }
      if (!drag.begun && Math.hypot(at.x - drag.x, at.y - drag.y) < MOVED) { return; }
      if (!drag.begun) { drag.begun = true; win.setPointerCapture(event.pointerId); win.classList.add("moving"); }
      x += at.x - drag.x;
      y += at.y - drag.y;
      drag.x = at.x;
      drag.y = at.y;
      moved();
    }, true);

    function released(event) {
      fingers.delete(event.pointerId);
      if (pinch) {
        event.stopPropagation();
        pinch = fingers.size >= 2 ? spread() : null;
        return;
      }
      if (drag && drag.id === event.pointerId) { drag = null; win.classList.remove("moving"); }
    }
    win.addEventListener("pointerup", released, true);
    win.addEventListener("pointercancel", released, true);
    /* Two fingers are ours; one finger scrolls the page while the whole picture is seen. */
    win.addEventListener("touchstart", function (event) {
      if (event.touches.length > 1) { event.preventDefault(); }
    }, { passive: false });

    win.addEventListener("wheel", function (event) {
      if (!event.ctrlKey && !win.contains(document.activeElement)) { return; }
      var at = inWindow(event);
      event.preventDefault();
      zoom(Math.exp(-between(event.deltaY, -240, 240) / 400), at.x, at.y);
    }, { passive: false });

    win.addEventListener("keydown", function (event) {
      if (event.ctrlKey || event.altKey || event.metaKey || event.target !== win) { return; }
      if (event.key === " ") { space = true; event.preventDefault(); return; }
      var done = true;
      if (event.key === "+" || event.key === "=") { deeds.in(); }
      else if (event.key === "-") { deeds.out(); }
      else if (event.key === "0") { deeds.whole(); }
      else if (event.key === "1") { deeds.pixels(); }
      else if (scale > 1.001 && event.key === "ArrowLeft") { nudge(1, 0); }
      else if (scale > 1.001 && event.key === "ArrowRight") { nudge(-1, 0); }
      else if (scale > 1.001 && event.key === "ArrowUp") { nudge(0, 1); }
      else if (scale > 1.001 && event.key === "ArrowDown") { nudge(0, -1); }
      else { done = false; }
      if (done) { event.preventDefault(); event.stopPropagation(); }
    });
    win.addEventListener("keyup", function (event) { if (event.key === " ") { space = false; } });
    win.addEventListener("blur", function () { space = false; });

    if (tools) {
      tools.hidden = false;
      tools.addEventListener("click", function (event) {
        var button = event.target.closest("[data-viewer-do]");
        if (button && deeds[button.dataset.viewerDo]) { deeds[button.dataset.viewerDo](); }
      });
    }

    function part() {
      var pixel = box.width / (fit.w * scale);
      return { pixel: pixel, left: -x * pixel, top: -y * pixel, right: (fit.W - x) * pixel, bottom: (fit.H - y) * pixel };
    }
    svg.querySelectorAll("image[data-tiles]").forEach(function (image) { finer.push(tilesOf(image, part)); });

    holder.viewer = {
      toPicture: function (clientX, clientY) {
        var frame = svg.getBoundingClientRect();
        return { x: (clientX - frame.left) * box.width / frame.width, y: (clientY - frame.top) * box.height / frame.height };
      },
      show: function (left, top, width, height) {
        scale = between(Math.min(fit.W * box.width / (width * fit.w), fit.H * box.height / (height * fit.h)), 1, most());
        x = fit.W / 2 - (left + width / 2) * fit.w * scale / box.width;
        y = fit.H / 2 - (top + height / 2) * fit.h * scale / box.height;
        moved();
      },
      whole: deeds.whole,
      scale: function () { return scale; },
      part: part
    };
    mates.push(follow);
    var wide = 0;
    new ResizeObserver(function () {
      if (win.clientWidth === wide) { return; }
      wide = win.clientWidth;
      var kept = middle();
      measure();
      follow(kept);
    }).observe(win);
    measure();
    lay();
    holder.dispatchEvent(new CustomEvent("viewer:ready", { bubbles: true }));
  }

  function beginAll() { document.querySelectorAll("[data-viewer]").forEach(begin); }
  beginAll();
  document.addEventListener("htmx:afterSettle", beginAll);
}());
