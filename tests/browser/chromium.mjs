// One Chromium for all tests. A page asks for nothing but its own file and writes no errors.
import { chromium } from "playwright-core";

const executablePath = process.env.CHROMIUM ?? "/usr/bin/chromium";

export const launch = () => chromium.launch({ executablePath, args: ["--no-sandbox"] });

export async function open(browser, url, { hash = "", init, ...options } = {}) {
  const context = await browser.newContext({ viewport: { width: 1280, height: 900 }, ...options });
  const page = await context.newPage();
  const wrong = [];
  page.on("console", (line) => ["error", "warning"].includes(line.type()) && wrong.push(`console: ${line.text()}`));
  page.on("pageerror", (error) => wrong.push(`script: ${error}`));
  page.on("dialog", (dialog) => (wrong.push(`dialog: ${dialog.message()}`), dialog.dismiss()));
  page.on("request", (request) => {
    const asked = request.url();
    if (!asked.startsWith("data:") && asked.split("#")[0] !== url) wrong.push(`asked for ${asked}`);
  });
  if (init) await page.addInitScript(init);
  await page.goto(url + hash);
  return { page, wrong, close: () => context.close() };
}
