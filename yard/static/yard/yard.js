// Keys and small buttons. Every key has a visible control, and the pages work without this file.
(function () {
  "use strict";

  var gettext = window.gettext || function (words) { return words; };

  function typing(target) {
    return target.isContentEditable || /^(INPUT|TEXTAREA|SELECT)$/.test(target.tagName);
  }

  function press(link) {
    if (link) { link.click(); }
    return Boolean(link);
  }

  function follow(name) { return press(document.querySelector("[data-key='" + name + "']")); }

  // The day, the fortnight or the page before or after.
  function turn(way) { return press(document.querySelector("main a[rel='" + way + "']")); }

  // A board that scrolls sideways keeps the arrow keys for itself.
  function scrolls(target) {
    var box = target.closest("[tabindex='0']");
    return Boolean(box) && box.scrollWidth > box.clientWidth;
  }

  var keys = {
    "/": function () {
      // The board's own field narrows its rows; on all other pages it is the field that finds anything.
      var find = document.querySelector("[data-find='here']") || document.querySelector("[data-find]");
      if (find) { find.focus(); find.select(); }
      return Boolean(find);
    },
    "p": function () {
      var button = document.querySelector("[data-print]");
      if (button) { window.print(); }
      return Boolean(button);
    },
    "ArrowLeft": function (event) { return !scrolls(event.target) && turn("prev"); },
    "ArrowRight": function (event) { return !scrolls(event.target) && turn("next"); },
    "[": function () { return follow("["); },
    "]": function () { return follow("]"); },
    "t": function () { return follow("t"); }
  };

  document.addEventListener("keydown", function (event) {
    if (event.ctrlKey || event.metaKey || event.altKey || typing(event.target)) { return; }
    var act = Object.prototype.hasOwnProperty.call(keys, event.key) ? keys[event.key] : null;
    if (act && act(event)) { event.preventDefault(); }
  });

  // What was typed into a field that searches by itself before this script was there is looked for now.
  window.addEventListener("load", function () {
    document.querySelectorAll("[data-find][hx-get]").forEach(function (field) {
      if (field.value !== field.defaultValue) { htmx.trigger(field, "typed"); }
    });
  });

  // A long page on a phone begins with its parts shut. On paper all of them are open.
  var folds = document.querySelectorAll("details[data-fold]");
  var narrow = window.matchMedia("screen and (max-width: 700px)").matches;
  folds.forEach(function (fold) { fold.open = !narrow; });
  window.addEventListener("beforeprint", function () { folds.forEach(function (fold) { fold.open = true; }); });

  function unfold(part) {
    for (var fold = part && part.closest("details"); fold; fold = fold.parentElement.closest("details")) { fold.open = true; }
  }

  // What an address names is open, too: /yard/#id_holidays.
  function toNamed() { unfold(document.getElementById(window.location.hash.slice(1))); }
  toNamed();
  window.addEventListener("hashchange", toNamed);

  // A form that came back has the focus where it is wrong: on what is said of the whole, else in the first field.
  (function () {
    var whole = document.querySelector("[role='alert'][tabindex='-1'], .errorlist.nonfield");
    var wrong = whole || document.querySelector("[aria-invalid='true']");
    document.querySelectorAll("[aria-invalid='true']").forEach(unfold);
    if (whole) { whole.tabIndex = -1; }
    if (wrong) { wrong.focus(); }
  }());

  // A row of the board opens and closes by the same control.
  document.addEventListener("htmx:beforeRequest", function (event) {
    var opener = event.target.closest("a.opener");
    var next = opener && opener.closest("tr").nextElementSibling;
    if (next && next.classList.contains("why")) {
      event.preventDefault();
      next.remove();
      opener.setAttribute("aria-expanded", "false");
    } else if (opener) {
      opener.setAttribute("aria-expanded", "true");
    }
  });

  // Esc closes an opened row of the board and gives the focus back to its opener.
  document.addEventListener("keydown", function (event) {
    var row = event.key === "Escape" && event.target.closest && event.target.closest("tr");
    var why = row && (row.classList.contains("why") ? row : row.nextElementSibling);
    if (why && why.classList.contains("why")) { shut(why); }
  });

  // The link that closes an opened row does so in place; without this file it leads to the board.
  document.addEventListener("click", function (event) {
    var link = event.target.closest("tr.why a.closes");
    if (link) { event.preventDefault(); shut(link.closest("tr.why")); }
  });

  function shut(why) {
    var opener = why.previousElementSibling && why.previousElementSibling.querySelector("a.opener");
    why.previousElementSibling.classList.remove("open");
    why.remove();
    if (opener) { opener.setAttribute("aria-expanded", "false"); opener.focus(); }
  }

  // Whoever signs out leaves no kept day of the crew behind on a shared phone; what was tapped stays until it is sent.
  document.addEventListener("submit", function (event) {
    if (event.target.classList.contains("out") && window.caches) { window.caches.delete("crew-day"); }
  });

  // What takes seconds says so, and for how long already; pressed again it is not sent again.
  document.addEventListener("submit", function (event) {
    var form = event.target, words = form.dataset.busy;
    if (!words) { return; }
    if (form.dataset.sent) { event.preventDefault(); return; }
    form.dataset.sent = "yes";
    var told = document.createElement("p"), began = Date.now();
    told.setAttribute("role", "status");
    told.textContent = words + " …";
    form.append(document.createElement("progress"), told);
    form.timer = window.setInterval(function () {
      told.textContent = words + " … " + Math.round((Date.now() - began) / 1000) + " s";
    }, 1000);
  });
  window.addEventListener("pageshow", function () { // back to a page that the browser kept
    document.querySelectorAll("form[data-sent]").forEach(function (form) {
      delete form.dataset.sent;
      window.clearInterval(form.timer);
      form.querySelectorAll("progress, progress + p").forEach(function (part) { part.remove(); });
    });
  });

  function say(button, words) {
    var was = button.textContent;
    button.textContent = words;
    window.setTimeout(function () { button.textContent = was; }, 2000);
  }

  function copy(button) {
    var field = document.querySelector(button.dataset.copy);
    if (!field) { return; }
    var text = field.value || field.textContent.trim();
    if (navigator.clipboard) {
      navigator.clipboard.writeText(text).then(
        function () { say(button, gettext("Copied")); },
        function () { say(button, gettext("Copy it by hand")); }
      );
    } else {
      if (field.select) { field.select(); }
      say(button, gettext("Copy it by hand"));
    }
  }

  document.addEventListener("click", function (event) {
    var button = event.target.closest("[data-print], [data-copy]");
    if (!button) { return; }
    if (button.hasAttribute("data-print")) { window.print(); } else { copy(button); }
  });

  // An answer that failed is said, not swallowed: the page keeps what it had.
  document.addEventListener("htmx:responseError", function (event) {
    var xhr = event.detail.xhr;
    var said = decodeURIComponent(xhr.getResponseHeader("X-Yard-Says") || "") ||
      gettext("The yard's machine answered with an error ({status}): try again.").replace("{status}", xhr.status);
    tell(said + " " + gettext("Nothing on this page was changed."));
  });
  document.addEventListener("htmx:sendError", function () {
    tell(gettext("No answer: is there a signal? Nothing on this page was changed; try again."));
  });

  function tell(words) {
    var place = document.getElementById("messages");
    if (!place) { return; }
    var note = document.createElement("p");
    note.className = "note error";
    note.textContent = words;
    place.replaceChildren(note);
  }
}());
