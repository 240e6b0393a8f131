// Answers for the crew's pages where there is no signal: the yard's machine first, what was kept last if it is silent.
"use strict";

var KEPT = "crew-day";
var PATIENCE_MS = 4000;

self.addEventListener("install", function () { self.skipWaiting(); });
self.addEventListener("activate", function (event) { event.waitUntil(self.clients.claim()); });

self.addEventListener("fetch", function (event) {
  var address = new URL(event.request.url);
  if (event.request.method !== "GET" || address.origin !== self.location.origin) { return; }
  if (!["/today/", "/static/", "/words.js"].some(function (begin) { return address.pathname.indexOf(begin) === 0; })) { return; }
  event.respondWith(fromYard(event));
});

// Slow counts as silent where something is kept; where nothing is, the answer is waited for.
function fromYard(event) {
  return self.caches.open(KEPT).then(function (cache) {
    return cache.match(event.request).then(function (kept) {
      var asked = self.fetch(event.request);
      event.waitUntil(asked.then(function (answer) { return keep(cache, event.request, answer.clone()); }).catch(function () {
        /* what was kept before stays */
      }));
      if (!kept) { return asked; }
      var late = new Promise(function (resolve) { self.setTimeout(resolve, PATIENCE_MS, kept); });
      return Promise.race([asked.catch(function () { return kept; }), late]);
    });
  });
}

function keep(cache, request, answer) {
  return answer.ok && !answer.redirected && answer.type === "basic" ? cache.put(request, answer) : null;
}
