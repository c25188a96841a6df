// Runs the glTF validator over files: `node validate_glb.mjs NODE_MODULES FILE.glb...`. Prints what it found as JSON, one line
// a file; ends with 1 where any file has an error.
import { readFileSync } from "node:fs";
import { createRequire } from "node:module";
import { join } from "node:path";

const [modules, ...files] = process.argv.slice(2);
if (!modules || files.length === 0) {
  console.error("usage: node validate_glb.mjs NODE_MODULES FILE.glb...");
  process.exit(2);
}
// The tools are installed into the build folder, which is not above this file.
const validator = createRequire(join(modules, "here.js"))("gltf-validator");

let bad = false;
for (const file of files) {
  const report = await validator.validateBytes(new Uint8Array(readFileSync(file)), { uri: file, maxIssues: 20 });
  const { numErrors: errors, numWarnings: warnings, messages } = report.issues;
  bad ||= errors > 0;
  console.log(JSON.stringify({ file, errors, warnings, messages, info: report.info }));
}
process.exit(bad ? 1 : 0);
