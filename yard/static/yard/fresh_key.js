// A key for a form or a tap, so that however often it is sent, it counts once: a UUID of 122 bits of chance.
// crypto.randomUUID is missing where the page is not secure, as on a yard's own network.
window.freshKey = function () {
  "use strict";

  var bytes = window.crypto.getRandomValues(new Uint8Array(16));
  bytes[6] = (bytes[6] & 15) | 64;
  bytes[8] = (bytes[8] & 63) | 128;
  var hex = Array.from(bytes, function (byte) { return byte.toString(16).padStart(2, "0"); }).join("");
  return [hex.slice(0, 8), hex.slice(8, 12), hex.slice(12, 16), hex.slice(16, 20), hex.slice(20)].join("-");
};
