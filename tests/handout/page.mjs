// Opens a handout in a browser without a network and looks whether it holds all it needs: nothing is asked for, nothing
// runs over the edge, and the model turns under a finger. Usage: node page.mjs PAGE FOLDER [no-model]
// Prints one line of JSON; pictures of what was seen go into the folder.
import { createRequire } from 'node:module';
import { createHash } from 'node:crypto';
import { pathToFileURL } from 'node:url';

const require = createRequire(process.env.RINGLAND_NPM + '/node_modules/');
const { chromium } = require('playwright-core');
const [page_file, folder, no_model] = process.argv.slice(2);
const hash = (bytes) => createHash('sha256').update(bytes).digest('hex');

const browser = await chromium.launch({
    executablePath: process.env.RINGLAND_CHROMIUM || '/usr/bin/chromium',
    args: ['--no-sandbox', '--use-angle=swiftshader', '--enable-unsafe-swiftshader', '--disable-gpu-sandbox'],
});
const context = await browser.newContext({ viewport: { width: 1100, height: 900 }, offline: true });
const page = await context.newPage();
const asked = [], complaints = [];
page.on('request', (request) => {
    if (!/^(file|data|blob):/.test(request.url())) asked.push(request.url());
});
page.on('console', (message) => {
    if (message.type() === 'error') complaints.push(message.text());
});
page.on('pageerror', (error) => complaints.push(String(error)));
page.on('dialog', async (dialog) => {
    complaints.push('a dialog: ' + dialog.message());
    await dialog.dismiss();
});
await page.goto(pathToFileURL(page_file).href);
const result = { asked, complaints };

if (!no_model) {
    const viewer = page.locator('model-viewer');
    await viewer.scrollIntoViewIfNeeded();
    await page.waitForFunction(() => document.querySelector('model-viewer')?.modelIsVisible, null, { timeout: 60000 });
    const orbit = () => page.evaluate(() => document.querySelector('model-viewer').getCameraOrbit().theta);
    const still = async () => {
        // Until two pictures in a row are the same.
        let last = '', shot;
        for (let i = 0; i < 40; ++i) {
            shot = await viewer.screenshot();
            if (hash(shot) === last) break;
            last = hash(shot);
            await page.waitForTimeout(150);
        }
        return shot;
    };
    const before = await still();
    const theta = await orbit();
    const box = await viewer.boundingBox();
    await page.mouse.move(box.x + box.width / 2, box.y + box.height / 2);
    await page.mouse.down();
    await page.mouse.move(box.x + box.width / 2 + 180, box.y + box.height / 2 + 10, { steps: 8 });
    await page.mouse.up();
    const after = await still();
    result.turned = Math.abs((await orbit()) - theta);
    result.looks_other = hash(before) !== hash(after);
    // How many colours the model's picture has: an empty canvas has but those of its ground.
    result.bytes_of_picture = before.length;
    await (await import('node:fs/promises')).writeFile(folder + '/model-before.png', before);
    await (await import('node:fs/promises')).writeFile(folder + '/model-after.png', after);
}
result.text = await page.evaluate(() => document.querySelector('main').innerText);
result.scripts = await page.evaluate(() => document.querySelectorAll('script').length);
result.foreign = await page.evaluate(() => document.querySelectorAll('main img:not([src^="data:"]), iframe, object, link').length);
result.over_the_edge = {};
for (const width of [360, 414, 768, 1100, 1600]) {
    await page.setViewportSize({ width, height: 900 });
    await page.waitForTimeout(120);
    result.over_the_edge[width] = await page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth);
    if (width === 414 || width === 1100) await page.screenshot({ path: `${folder}/page-${width}.png`, fullPage: true });
}
console.log(JSON.stringify(result));
await browser.close();
