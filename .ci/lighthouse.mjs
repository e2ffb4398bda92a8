// Measures the public pages of a running site with Lighthouse, in a local
// Chromium, and fails for a category below 95.
//
//   go run ./cmd/fairladle demo --listen 127.0.0.1:8080
//   node .ci/lighthouse.mjs http://127.0.0.1:8080 / /c/root-down /c/root-down/results
//
// The figures for performance mean something on a machine that does nothing
// else; the other three do not depend on it.
import { launch } from "chrome-launcher";
import lighthouse from "lighthouse";

const [site, ...paths] = process.argv.slice(2);
if (!site) {
  console.error("usage: node .ci/lighthouse.mjs SITE [PATH ...]");
  process.exit(2);
}
const least = 95;
const categories = ["performance", "accessibility", "best-practices", "seo"];
const chrome = await launch({
  chromePath: process.env.CHROME_PATH || "/usr/bin/chromium",
  chromeFlags: ["--headless=new", "--no-sandbox", "--disable-gpu"],
});
let low = 0;
try {
  for (const path of paths.length ? paths : ["/"]) {
    const { lhr } = await lighthouse(site + path, { port: chrome.port, logLevel: "error", onlyCategories: categories });
    const scores = categories.map((c) => Math.round(100 * lhr.categories[c].score));
    const shift = lhr.audits["cumulative-layout-shift"].displayValue;
    console.log(`${path}: ${categories.map((c, i) => `${c} ${scores[i]}`).join(", ")}, layout shift ${shift}`);
    categories.forEach((c, i) => {
      if (scores[i] >= least) return;
      low++;
      for (const ref of lhr.categories[c].auditRefs) {
        const audit = lhr.audits[ref.id];
        if (ref.weight > 0 && audit.score !== null && audit.score < 0.9) console.log(`  ${c}: ${audit.title} ${audit.displayValue ?? ""}`);
      }
    });
  }
} finally {
  await chrome.kill();
}
if (low) {
  console.error(`${low} scores are below ${least}`);
  process.exit(1);
}
