// Closing the day without signal: what is typed stays on the phone, and the form is sent like a tap when there is signal.
// Its key makes it one, however often it is sent. Without this file it is a plain form.
(function () {
  "use strict";

  var gettext = window.gettext || function (words) { return words; };

  var sent = document.getElementById("sent");
  var form = document.getElementById("closing");
  if (!sent || !sent.dataset.user) { return; }
  var place = "yard.close." + sent.dataset.user + ".";

  // Taken, from whichever page: what was typed is needed no longer. On the page itself the day is shown as closed.
  document.addEventListener("yard:sent", function (event) {
    var tap = event.detail.tap;
    if (!tap.page) { return; }
    if (!event.detail.told.refused) { forget(tap.page); }
    if (tap.page === window.location.pathname) {
      if (event.detail.told.refused) { again(); } else { window.location.reload(); }
    }
  });

  if (!form) { return; }
  var own = place + window.location.pathname;
  var kept = read();
  if (kept) { restore(kept); } else { form.elements.form_key.value = window.freshKey(); } // a page kept for later may be shown twice
  form.addEventListener("input", function () { write(false); });
  form.addEventListener("change", function () { write(false); });

  form.addEventListener("submit", function (event) {
    if (!write(true)) { return; } // no room on the phone: the plain way
    event.preventDefault();
    var key = form.elements.form_key.value;
    document.dispatchEvent(new CustomEvent("yard:keep", { detail: {
      fields: { kind: "close", key: key }, pairs: pairs(), to: form.getAttribute("action"), page: window.location.pathname, word: form.dataset.word
    } }));
    say(gettext("Kept on this phone until the yard's machine has it. You can leave this page."));
  });

  function pairs() {
    return Array.from(new FormData(form)).filter(function (pair) { return pair[0] !== "csrfmiddlewaretoken"; });
  }

  function read() {
    try { return JSON.parse(window.localStorage.getItem(own)); } catch (error) { return null; }
  }

  function write(wasSent) {
    try {
      window.localStorage.setItem(own, JSON.stringify({ pairs: pairs(), sent: wasSent }));
      return true;
    } catch (error) {
      return false;
    }
  }

  function forget(page) {
    try { window.localStorage.removeItem(place + page); } catch (error) { /* it was not kept */ }
  }

  function restore(what) {
    var values = Object.create(null); // names that are read may be any, and reach no prototype
    what.pairs.forEach(function (pair) { (values[pair[0]] = values[pair[0]] || []).push(pair[1]); });
    Array.from(form.elements).forEach(function (field) {
      if (!field.name || field.name === "csrfmiddlewaretoken") { return; }
      var given = values[field.name] || [];
      if (field.type === "checkbox" || field.type === "radio") {
        field.checked = given.indexOf(field.value) >= 0;
        if (field.dataset.opens) { document.getElementById(field.dataset.opens).hidden = !field.checked; }
      } else if (given.length) {
        field.value = given[0];
      }
    });
    say(what.sent ? gettext("Kept on this phone until the yard's machine has it.") : gettext("What you had typed is here again."));
  }

  // Refused: it may be changed and sent once more, as a form of its own.
  function again() {
    form.elements.form_key.value = window.freshKey();
    write(false);
    say("");
  }

  function say(words) { document.getElementById("kept").textContent = words; }
}());
