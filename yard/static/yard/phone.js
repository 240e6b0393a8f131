// What is tapped is kept on the phone until the yard's machine has it. Each tap has a key, so that it is written once
// however often it is sent. Without this file every button is a plain form.
(function () {
  "use strict";

  var gettext = window.gettext || function (words) { return words; };
  var ngettext = window.ngettext || function (one, many, count) { return count === 1 ? one : many; };

  // Closing the day: touching a number opens what is asked of it. Without this file it is asked after sending.
  document.querySelectorAll("input[data-opens]").forEach(function (box) {
    var asked = document.getElementById(box.dataset.opens);
    box.addEventListener("change", function () { asked.hidden = !box.checked; });
    asked.hidden = !box.checked;
  });

  var sent = document.getElementById("sent");
  if (!sent || !keeps()) { return; }
  var place = "yard.taps." + sent.dataset.user;
  var undo = document.getElementById("undo");
  var refused = document.getElementById("refused");
  var UNDO_MS = 10000;
  var AGAIN_MS = 15000;
  var sending = false;
  var away = "";

  function keeps() {
    try {
      window.localStorage.setItem("yard.try", "1");
      window.localStorage.removeItem("yard.try");
      return true;
    } catch (error) {
      return false;
    }
  }

  function waiting() {
    try { return JSON.parse(window.localStorage.getItem(place)) || []; } catch (error) { return []; }
  }

  function keep(taps) {
    window.localStorage.setItem(place, JSON.stringify(taps));
    show();
  }

  function show() {
    var taps = waiting();
    var count = taps.length;
    sent.textContent = count === 0 ? gettext("all sent") : unsent(count) + (away ? ", " + away : "");
    sent.classList.toggle("waits", count > 0);
    document.querySelectorAll("[data-card]").forEach(function (card) {
      var last = taps.filter(function (tap) { return isOf(tap, card); }).pop();
      if (last) { mark(card, gettext("{done}, not yet sent").replace("{done}", last.word)); } else if (card.dataset.sent) { mark(card, card.dataset.sent); } else { mark(card, ""); }
    });
  }

  function unsent(count) { return ngettext("{n} not yet sent", "{n} not yet sent", count).replace("{n}", count); }

  function isOf(tap, card) {
    return card.dataset.line ? tap.fields.line === card.dataset.line : tap.fields.job === card.dataset.card;
  }

  function mark(card, words) {
    var spot = card.querySelector(".p-mark");
    if (spot) { spot.textContent = words; }
    card.classList.toggle("tapped", Boolean(words));
  }

  function cards(tap) {
    return Array.from(document.querySelectorAll("[data-card]")).filter(function (card) { return isOf(tap, card); });
  }

  // A form of another kind that is to be kept and sent as a tap is: close_day.js.
  document.addEventListener("yard:keep", function (event) {
    var tap = event.detail;
    keep(waiting().filter(function (one) { return one.fields.key !== tap.fields.key; }).concat([tap]));
    send();
  });

  document.addEventListener("submit", function (event) {
    var form = event.target;
    if (!form.classList.contains("tap")) { return; }
    event.preventDefault();
    var fields = Object.create(null); // names that are read may be any, and reach no prototype
    new FormData(form).forEach(function (value, name) { fields[name] = value; });
    delete fields.csrfmiddlewaretoken;
    delete fields.back;
    fields.at = new Date().toISOString();
    var button = form.querySelector("[data-done]");
    var tap = { fields: fields, to: form.getAttribute("action"), word: button ? button.dataset.done : fields.kind };
    form.elements.key.value = window.freshKey();
    try {
      keep(waiting().concat([tap]));
    } catch (error) {
      form.submit(); // the phone's room is full: the old way, with signal
      return;
    }
    var more = form.closest("details.p-more");
    if (more) { more.open = false; }
    offerUndo(tap);
    send();
  });

  function offerUndo(tap) {
    if (!undo || tap.fields.kind === "undo" || tap.fields.kind === "note" || tap.fields.kind === "storm") { return; }
    undo.firstElementChild.textContent = tap.word.charAt(0).toUpperCase() + tap.word.slice(1) + ".";
    undo.hidden = false;
    var button = undo.querySelector("button");
    button.onclick = function () {
      undo.hidden = true;
      var taps = waiting();
      var untried = taps.some(function (one) { return one.fields.key === tap.fields.key && !one.tried; });
      if (untried) { // it never left the phone
        keep(taps.filter(function (one) { return one.fields.key !== tap.fields.key; }));
        return;
      }
      var back = { kind: "undo", key: window.freshKey(), of: tap.fields.key, job: tap.fields.job || "", at: new Date().toISOString() };
      keep(taps.concat([{ fields: back, to: tap.to, word: gettext("taken back") }]));
      send();
    };
    window.clearTimeout(undo.timer);
    undo.timer = window.setTimeout(function () { undo.hidden = true; }, UNDO_MS);
  }

  function token() {
    var cookie = /(?:^|; )(?:__Host-csrf|csrftoken)=([^;]+)/.exec(document.cookie);
    var field = document.querySelector("[name=csrfmiddlewaretoken]");
    return cookie ? cookie[1] : field ? field.value : "";
  }

  // One after another, in the order in which they were tapped; what fails stays and is tried again.
  function send() {
    var taps = waiting();
    if (sending || taps.length === 0) { return; }
    sending = true;
    var tap = taps[0];
    tap.tried = true;
    try { window.localStorage.setItem(place, JSON.stringify(taps)); } catch (error) { /* it is kept as it was */ }
    window.fetch(tap.to, {
      method: "POST",
      body: new URLSearchParams(tap.pairs || tap.fields),
      headers: { Accept: "application/json", "X-CSRFToken": token() },
      redirect: "manual",
      credentials: "same-origin"
    }).then(function (answer) {
      if (answer.type === "opaqueredirect" || answer.status === 403) { throw new Error(gettext("sign in to send")); }
      if (!answer.ok) { throw new Error(gettext("the yard's machine has trouble")); }
      return answer.json();
    }).then(function (told) {
      away = "";
      sending = false;
      var left = waiting().filter(function (one) { return one.fields.key !== tap.fields.key; });
      cards(tap).forEach(function (card) { card.dataset.sent = told.refused ? "" : told.says; });
      keep(left);
      if (told.refused) { refuse(tap, told.says); }
      document.dispatchEvent(new CustomEvent("yard:sent", { detail: { tap: tap, told: told } }));
      planChanged(told.plan);
      send();
    }).catch(function (error) {
      sending = false;
      away = error instanceof TypeError ? gettext("no signal") : error.message;
      show();
    });
  }

  function refuse(tap, words) {
    var note = document.createElement("p");
    note.className = "note error";
    note.textContent = gettext("Not taken: {done}.").replace("{done}", tap.word) + " " + words + " ";
    if (tap.page) {
      var link = document.createElement("a");
      link.href = tap.page;
      link.textContent = gettext("What was typed is kept there.");
      note.appendChild(link);
    }
    refused.appendChild(note);
  }

  function planChanged(number) {
    if (number === null || String(number) === sent.dataset.plan) { return; }
    var link = document.createElement("a");
    link.href = window.location.href;
    link.textContent = gettext("plan changed, look");
    sent.append(" ", link);
  }

  window.addEventListener("online", send);
  document.addEventListener("visibilitychange", function () { if (!document.hidden) { send(); } });
  window.setInterval(send, AGAIN_MS);
  show();
  send();

  // Where the page is secure, it can be opened again without signal: this page, the days beside it, and what they use.
  if (navigator.serviceWorker && sent.dataset.worker) {
    navigator.serviceWorker.register(sent.dataset.worker).then(keepPages).catch(function () { /* only with signal, then */ });
  }

  function keepPages() {
    if (!window.caches || !navigator.onLine) { return; }
    var parts = Array.from(document.querySelectorAll("link[rel=stylesheet], link[rel=icon], script[src]"), function (part) {
      return part.href || part.src;
    });
    var pages = [window.location.href].concat(Array.from(document.querySelectorAll("a[data-keep]"), function (link) { return link.href; }));
    window.caches.open("crew-day").then(function (cache) {
      parts.concat(pages).forEach(function (address) {
        window.fetch(address, { credentials: "same-origin" }).then(function (answer) {
          if (answer.ok && !answer.redirected) { cache.put(address, answer); }
        }).catch(function () { /* kept another time */ });
      });
    });
  }
}());
