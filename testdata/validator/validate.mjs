// Validates the glTF and .glb files given and prints one JSON array with a report
// a file. External buffers are read relative to each file.
import { readFile } from 'node:fs/promises';
import { dirname, resolve } from 'node:path';
import validator from 'gltf-validator';

const reports = [];
for (const file of process.argv.slice(2)) {
  const report = await validator.validateBytes(new Uint8Array(await readFile(file)), {
    uri: file,
    maxIssues: 0, // all
    externalResourceFunction: async (uri) =>
      new Uint8Array(await readFile(resolve(dirname(file), decodeURIComponent(uri)))),
  });
  reports.push({
    file,
    errors: report.issues.numErrors,
    warnings: report.issues.numWarnings,
    infos: report.issues.numInfos,
    messages: report.issues.messages,
    info: report.info,
  });
}
console.log(JSON.stringify(reports));
