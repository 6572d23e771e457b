// Before packing: brings in what stands elsewhere in the repository, so that no copy of it is kept here.

const fs = require("node:fs");

fs.mkdirSync("syntaxes", { recursive: true });
fs.copyFileSync("../textmate/fantail.tmLanguage.json", "syntaxes/fantail.tmLanguage.json");
const licences = ["../../LICENSE-MIT", "../../LICENSE-APACHE"].map((name) => fs.readFileSync(name, "utf8"));
fs.writeFileSync("LICENSE.txt", licences.join("\n\n"));
