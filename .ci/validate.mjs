// Reads what the site publishes with other people's programs: pages with
// html-validate, feeds with feedsmith, calendars with ical.js, JSON-LD with
// jsonld and, word for word, with the types of schema.org (schema-dts).
//
//   node .ci/validate.mjs FOLDER
//
// Prints one line for each problem and how much was read; fails if there is a
// problem or nothing to read of some kind.
import { readFileSync, readdirSync, writeFileSync, mkdtempSync, rmSync, symlinkSync } from "node:fs";
import { join, dirname, basename } from "node:path";
import { fileURLToPath } from "node:url";
import { spawnSync } from "node:child_process";
import { HtmlValidate } from "html-validate";
import { parseAtomFeed } from "feedsmith";
import ICAL from "ical.js";
import jsonld from "jsonld";

const here = dirname(fileURLToPath(import.meta.url));
const folder = process.argv[2];
const problems = [];
const read = {};
const wrong = (file, words) => problems.push(`${basename(file)}: ${words}`);
const files = (suffix) => readdirSync(folder).filter((f) => f.endsWith(suffix)).sort().map((f) => join(folder, f));

// Style is the formatter's matter, and a void element may be written either way.
const html = new HtmlValidate({
  extends: ["html-validate:recommended"],
  rules: {
    "void-style": "off", "no-trailing-whitespace": "off", "attribute-boolean-style": "off", "attribute-empty-style": "off", "doctype-style": "off", "no-inline-style": "error",
    // One form may have a button of its own kind; submitting is what a button does.
    "no-implicit-button-type": "off",
    // Titles may be as long as what they name.
    "long-title": "off",
    // Ids of form fields are their names.
    "valid-id": ["error", { relaxed: true }],
    // An input without a type is a line of text.
    "no-implicit-input-type": "off",
    // A wide table scrolls in a region of its own, which the keyboard reaches.
    "prefer-native-element": ["error", { exclude: ["region"] }],
    // Boxes of one name are one answer with several values.
    "form-dup-name": ["error", { shared: ["radio", "checkbox", "button", "reset", "submit"] }],
    // The author's words are kept line by line.
    "no-raw-characters": ["error", { relaxed: true }],
  },
});
async function pages() {
  for (const file of files(".html")) {
    const report = await html.validateString(readFileSync(file, "utf8"), basename(file));
    for (const r of report.results) for (const m of r.messages) wrong(file, `line ${m.line}: ${m.ruleId}: ${m.message}`);
  }
}

// RFC 4287, 4.1: what a feed and its entries must have.
function feeds() {
  for (const file of files(".atom")) {
    const feed = parseAtomFeed(readFileSync(file, "utf8"));
    const must = (what, of, names) => names.filter((n) => !of[n] || of[n].length === 0).forEach((n) => wrong(file, `${what} without ${n}`));
    must("a feed", feed, ["id", "title", "updated", "authors", "links"]);
    const seen = new Set();
    for (const e of feed.entries ?? []) {
      must("an entry", e, ["id", "title", "updated", "links"]);
      if (seen.has(e.id)) wrong(file, `two entries are ${e.id}`);
      seen.add(e.id);
      for (const at of [e.updated, e.published]) if (at && !/^\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d(Z|[+-]\d\d:\d\d)$/.test(at)) wrong(file, `${at} is no RFC 3339 date`);
      for (const l of e.links ?? []) if (!URL.canParse(l.href)) wrong(file, `${l.href} is no whole address`);
    }
    if (!feed.links?.some((l) => l.rel === "self")) wrong(file, "no link to itself");
    read.entries = (read.entries ?? 0) + (feed.entries ?? []).length;
  }
}

// RFC 5545, 3.6 and 3.6.1: what a calendar and its events must have.
function calendars() {
  for (const file of files(".ics")) {
    const text = readFileSync(file, "utf8");
    if (/[^\r]\n/.test(text)) wrong(file, "a line does not end with CR LF");
    for (const line of text.split("\r\n")) if (Buffer.byteLength(line) > 75) wrong(file, `a line of ${Buffer.byteLength(line)} bytes`);
    const calendar = new ICAL.Component(ICAL.parse(text));
    for (const name of ["prodid", "version"]) if (!calendar.getFirstPropertyValue(name)) wrong(file, `no ${name}`);
    for (const part of calendar.getAllSubcomponents("vevent")) {
      const event = new ICAL.Event(part);
      if (!event.uid || !part.getFirstPropertyValue("dtstamp")) wrong(file, "an event without uid or dtstamp");
      if (!event.startDate || Number.isNaN(event.startDate.toJSDate().getTime())) wrong(file, `${event.uid}: no start`);
      read.events = (read.events ?? 0) + 1;
    }
  }
}

// The context of schema.org is on the net; its @vocab says the same of every
// word in use here.
const documentLoader = async (url) => {
  if (url.replace(/\/$/, "") !== "https://schema.org") throw new Error(`asks for ${url}`);
  return { contextUrl: null, documentUrl: url, document: { "@context": { "@vocab": "https://schema.org/" } } };
};
async function linked() {
  const all = files(".jsonld");
  const work = mkdtempSync(join(folder, "types-"));
  let source = 'import type { Recipe, WithContext } from "schema-dts";\n';
  for (const [i, file] of all.entries()) {
    const data = JSON.parse(readFileSync(file, "utf8"));
    try {
      const [node] = await jsonld.expand(data, { documentLoader, safe: true });
      if (node["@type"][0] !== "https://schema.org/Recipe") wrong(file, `a ${node["@type"]}`);
      for (const word of ["name", "recipeIngredient", "recipeInstructions"]) if (!node["https://schema.org/" + word]) wrong(file, `no ${word}`);
    } catch (e) {
      wrong(file, `${e.message}`);
    }
    for (const word of ["prepTime", "cookTime", "totalTime"]) if (data[word] && !/^PT(\d+H)?(\d+M)?$/.test(data[word])) wrong(file, `${word}: ${data[word]}`);
    source += `export const r${i}: WithContext<Recipe> = ${JSON.stringify(data)}; // ${basename(file)}\n`;
  }
  writeFileSync(join(work, "recipes.ts"), source);
  symlinkSync(join(here, "node_modules"), join(work, "node_modules"));
  const tsc = spawnSync(join(here, "node_modules", ".bin", "tsc"), ["--noEmit", "--strict", "--target", "es2022", "--module", "esnext", "--moduleResolution", "bundler", "recipes.ts"], { cwd: work, encoding: "utf8" });
  if (tsc.status !== 0) problems.push("schema.org: " + (tsc.error?.message ?? tsc.stdout + tsc.stderr).trim());
  rmSync(work, { recursive: true });
}

for (const suffix of [".html", ".atom", ".ics", ".jsonld"]) {
  read[suffix.slice(1)] = files(suffix).length;
  if (files(suffix).length === 0) problems.push(`nothing to read: ${suffix}`);
}
await pages();
feeds();
calendars();
await linked();
problems.forEach((p) => console.log(p));
console.log("read " + JSON.stringify(read));
process.exit(problems.length ? 1 : 0);
