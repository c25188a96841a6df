// Solves networks of oil with EPANET, which knows nothing of Ringland. Usage: node epanet.mjs FOLDER: every .inp file in
// it. Prints one line of JSON: {file: {heads: {node: m}, flows: {link: L/min}, demands: {node: L/min}}}.
import { createRequire } from 'node:module';
import { readFileSync, readdirSync } from 'node:fs';
import { join } from 'node:path';

const require = createRequire(process.env.RINGLAND_NPM + '/node_modules/');
const { Project, Workspace, NodeProperty, LinkProperty, CountType } = require('epanet-js');
const folder = process.argv[2];

const workspace = new Workspace();
if (workspace.loadModule) await workspace.loadModule();
const answers = {};
for (const file of readdirSync(folder).filter((name) => name.endsWith('.inp')).sort()) {
    const model = new Project(workspace);
    workspace.writeFile('net.inp', readFileSync(join(folder, file), 'utf8'));
    model.open('net.inp', 'report.rpt', 'out.bin');
    model.solveH();
    const answer = { heads: {}, flows: {}, demands: {} };
    for (let n = 1; n <= model.getCount(CountType.NodeCount); ++n) {
        answer.heads[model.getNodeId(n)] = model.getNodeValue(n, NodeProperty.Head);
        answer.demands[model.getNodeId(n)] = model.getNodeValue(n, NodeProperty.Demand);
    }
    for (let k = 1; k <= model.getCount(CountType.LinkCount); ++k)
        answer.flows[model.getLinkId(k)] = model.getLinkValue(k, LinkProperty.Flow);
    model.close();
    answers[file] = answer;
}
console.log(JSON.stringify(answers));
