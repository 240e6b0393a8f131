// A job dragged along the day sheet is asked for at that time: its page says whether it fits and what it breaks, and a
// person puts it there. The same by keyboard: the “move” links. Pens and mice only, so that a finger scrolls.
(function () {
  "use strict";

  var STEP_MIN = 15;
  var FAR_PX = 6;
  var held = null;

  document.addEventListener("pointerdown", function (event) {
    var part = event.target.closest ? event.target.closest("[data-job-number]") : null;
    var link = part && document.querySelector("[data-move='" + part.dataset.jobNumber + "']");
    if (!link || !/^\d\d:\d\d$/.test(link.dataset.starts) || event.button !== 0 || event.pointerType === "touch") { return; }
    held = { part: part, link: link, x: event.clientX, moved: false, picture: part.closest("[data-px-per-min]") };
    event.preventDefault();
  });

  document.addEventListener("pointermove", function (event) {
    if (!held) { return; }
    var away = event.clientX - held.x;
    if (!held.moved && Math.abs(away) < FAR_PX) { return; }
    held.moved = true;
    var steps = stepsOf(away);
    held.part.setAttribute("transform", "translate(" + steps * STEP_MIN * Number(held.picture.dataset.pxPerMin) + " 0)");
    held.part.classList.add("dragged");
    say(held.link.dataset.what + ": " + clock(steps));
  });

  document.addEventListener("pointerup", function (event) {
    if (!held) { return; }
    var was = held;
    var steps = stepsOf(event.clientX - held.x);
    if (held.moved && steps !== 0) {
      window.location.assign(was.link.href + "?day=" + was.link.dataset.day + "&at=" + clock(steps));
    }
    letGo();
  });

  document.addEventListener("pointercancel", letGo);
  document.addEventListener("keydown", function (event) { if (event.key === "Escape") { letGo(); } });
  // The press that ended a drag is no press on the bar's own link.
  document.addEventListener("click", function (event) { if (held && held.moved) { event.preventDefault(); } }, true);

  function letGo() {
    if (!held) { return; }
    held.part.removeAttribute("transform");
    held.part.classList.remove("dragged");
    held = null;
    say("");
  }

  function stepsOf(px) {
    var box = held.picture.viewBox.baseVal;
    var scale = box.width / held.picture.getBoundingClientRect().width;
    return Math.round(px * scale / Number(held.picture.dataset.pxPerMin) / STEP_MIN);
  }

  function clock(steps) {
    var parts = held.link.dataset.starts.split(":");
    var minute = Math.min(1425, Math.max(0, Number(parts[0]) * 60 + Number(parts[1]) + steps * STEP_MIN));
    return String(Math.floor(minute / 60)).padStart(2, "0") + ":" + String(minute % 60).padStart(2, "0");
  }

  function say(words) {
    var place = document.getElementById("dragged");
    if (place) { place.textContent = words; }
  }
}());
