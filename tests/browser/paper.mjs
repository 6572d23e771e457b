// The book printed: what stands at the edge of every page, heads that repeat, and no row cut in two.
import { execFileSync } from "node:child_process";
import { writeFileSync } from "node:fs";
import { join } from "node:path";
import { open } from "./chromium.mjs";

const squeezed = (text) => text.replace(/\s+/gu, "");
const letters = (text) => [...squeezed(text)].filter((letter) => /[\p{L}\p{N}]/u.test(letter)).sort().join("");

async function printed(page, folder, format) {
  const file = join(folder, `${format}.pdf`);
  writeFileSync(file, await page.pdf({ format, printBackground: true }));
  const text = execFileSync("pdftotext", ["-layout", "-enc", "UTF-8", file, "-"], { encoding: "utf8", maxBuffer: 1 << 28 });
  return text.split("\f").slice(0, -1);
}

// In the page: puts a small word of its own at both ends of every cell.
function markCells() {
  const rows = Array.from(document.querySelectorAll("tbody tr"));
  const word = (text) => {
    const one = document.createElement("bdi");
    one.textContent = ` ${text} `;
    // Set through the object model, which the policy allows.
    one.style.fontSize = "1pt";
    return one;
  };
  return rows.map((row, number) => {
    let ends = 0;
    // Each its own: the reader takes the same word twice at nearly the same place for one in bold.
    const end = () => word(`qa${number}x${ends++}qz`);
    for (const cell of row.cells) {
      if (cell.textContent) cell.prepend(end());
      cell.append(end());
    }
    const table = row.closest("table");
    const head = Array.from(table.querySelectorAll("thead th"), (th) => th.textContent).join(" ");
    return { ends, head, text: row.textContent.slice(0, 80) };
  });
}

// What every page says at its edges.
function edges(pages, { plan, mark }, wrong, format) {
  pages.forEach((text, at) => {
    const page = squeezed(text);
    const missing = [mark, `page${at + 1}of${pages.length}`].filter((one) => !page.includes(one));
    // Letters that run from the right come in another order.
    for (const letter of new Set(letters(plan.show.title))) if (!page.includes(letter)) missing.push(letter);
    if (!page.includes(squeezed(plan.show.title))) missing.push(plan.show.title);
    // Above its labels, and not at the foot of the page before them.
    const last = text.trim().split("\n").slice(0, -1).filter((line) => line.trim()).at(-1) ?? "";
    if (last.includes("Print at 100 %")) wrong.push(`${format}: page ${at + 1} ends with a heading`);
    if (missing.length) wrong.push(`${format}: page ${at + 1} does not say ${missing.join(", ")}`);
  });
}

function rowsWhole(pages, rows, wrong, format) {
  const found = new Map();
  pages.forEach((text, at) => {
    for (const [, number, end] of text.matchAll(/qa(\d+)x(\d+)qz/gu)) {
      const here = found.get(Number(number)) ?? new Map();
      found.set(Number(number), here.set(at, (here.get(at) ?? new Set()).add(end)));
    }
  });
  rows.forEach(({ ends, head, text }, number) => {
    const pagesOf = [...(found.get(number) ?? [])].map(([page, found]) => [page, found.size]);
    if (pagesOf.length !== 1 || pagesOf[0][1] !== ends) {
      wrong.push(`${format}: row ${number} has ${JSON.stringify(pagesOf)} of ${ends} ends: ${text}`);
      return;
    }
    const page = squeezed(pages[pagesOf[0][0]]);
    // Names of several words stand over each other, and long ones are broken.
    const missing = head.split(/\s+/u).find((word) => !page.includes(word.slice(0, 10)));
    if (missing) wrong.push(`${format}: no "${missing}" above row ${number}`);
  });
}

// A large sheet says at the head of each of its pages which it is, and how many there are.
function largeSheets() {
  return Array.from(document.querySelectorAll(".sheet.large"), (sheet) => {
    const title = sheet.querySelector("h2");
    const size = (part) => parseFloat(getComputedStyle(part).fontSize);
    return {
      title: title.textContent,
      foot: `${title.textContent}, ${sheet.querySelector(".for").textContent}`,
      tall: Array.from(sheet.querySelectorAll("table"), (table) => table.rows.length).some((rows) => rows > 40),
      of: Number(title.dataset.of?.split(" of ")[1] ?? 1),
      least: Math.min(99, ...Array.from(sheet.querySelectorAll("tbody .k"), size)) * 0.75,
    };
  });
}

function largePages(pages, large, wrong, format) {
  const squeezedPages = pages.map(squeezed);
  const count = (said) => squeezedPages.filter((page) => page.includes(squeezed(said))).length;
  for (const { title, foot, of, tall, least } of large) {
    // What no page holds is cut.
    if (!tall && count(`${foot}page`) !== of) wrong.push(`${format}: ${title} has ${count(`${foot}page`)} pages, not ${of}`);
    for (let at = 1; at <= of && of > 1; at++) {
      if (count(`${title}, ${at} of ${of}`) !== 1) wrong.push(`${format}: no page is ${title}, ${at} of ${of}`);
    }
    // What is read at arm's length on a dark stage.
    if (least < 11.9) wrong.push(`${format}: ${title} is set in ${least} points`);
  }
}

export async function paper(browser, book) {
  const { page, wrong, close } = await open(browser, book.url);
  const sheets = await page.locator(".sheet").count();
  const counts = [];
  await page.emulateMedia({ media: "print" });
  const large = await page.evaluate(largeSheets);
  for (const format of ["A4", "Letter"]) largePages(await printed(page, book.folder, format), large, wrong, format);
  await page.emulateMedia({});
  const rows = await page.evaluate(markCells);
  for (const format of ["A4", "Letter"]) {
    const pages = await printed(page, book.folder, format);
    counts.push(pages.length);
    if (pages.length < sheets) wrong.push(`${format}: ${pages.length} pages for ${sheets} sheets`);
    edges(pages, book, wrong, format);
    rowsWhole(pages, rows, wrong, format);
  }
  await close();
  return { told: `${sheets} sheets, ${large.length} of them large, ${rows.length} rows, ${counts.join(" and ")} pages`, wrong };
}
