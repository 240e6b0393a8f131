// Reads a calendar from standard input with ical.js and prints [uid, start, end, summary] of each event as JSON.
// argv[2]: the folder of the package. Instants as seconds since 1970, whole days as text.
import { readFileSync } from "node:fs";
import { pathToFileURL } from "node:url";

const { default: ICAL } = await import(pathToFileURL(`${process.argv[2]}/dist/ical.js`).href);
const calendar = new ICAL.Component(ICAL.parse(readFileSync(0, "utf-8")));
const told = (time) => (time.isDate ? time.toString() : time.toUnixTime());
const events = calendar.getAllSubcomponents("vevent").map((part) => {
  const event = new ICAL.Event(part);
  return [event.uid, told(event.startDate), told(event.endDate), event.summary];
});
console.log(JSON.stringify(events));
