// Drives Firefox for the page tests: one JSON command a line on standard input, one JSON answer a line on
// standard output. Commands: {do: "goto", url}, {do: "evaluate", code} (an expression, may be a promise),
// {do: "type", selector, text}, {do: "click", selector}, {do: "wait", code, timeout}, {do: "reload"},
// {do: "viewport", width, height}, {do: "screenshot", path}, {do: "problems"} (console errors and failed scripts so far).
// Argument: the program of the browser. Needs node, and puppeteer-core in the folder it is started in.
import { createRequire } from "node:module";
import { join } from "node:path";
import { createInterface } from "node:readline";
import { pathToFileURL } from "node:url";

const require = createRequire(pathToFileURL(join(process.cwd(), "package.json")));
const puppeteer = require("puppeteer-core");
const problems = [];

const browser = await puppeteer.launch({
  browser: "firefox",
  executablePath: process.argv[2],
  headless: true,
  extraPrefsFirefox: {
    // The driver relaxes this; with it relaxed, tests from disk would prove nothing.
    "security.fileuri.strict_origin_policy": true,
    // Nothing but this machine can be reached.
    "network.proxy.type": 1,
    "network.proxy.http": "127.0.0.1",
    "network.proxy.http_port": 9,
    "network.proxy.ssl": "127.0.0.1",
    "network.proxy.ssl_port": 9,
  },
});
const page = await browser.newPage();
page.setDefaultTimeout(120_000);
page.on("console", (message) => {
  if (message.type() === "error") problems.push(message.text());
});
page.on("pageerror", (error) => problems.push(String(error.message)));

const commands = {
  goto: ({ url }) => page.goto(url, { waitUntil: "load" }).then(() => null),
  reload: () => page.reload({ waitUntil: "load" }).then(() => null),
  evaluate: ({ code }) => page.evaluate(`(async () => (${code}))()`),
  wait: ({ code, timeout = 60_000 }) => page.waitForFunction(code, { timeout }).then(() => null),
  type: async ({ selector, text }) => {
    await page.$eval(selector, (field) => field.select?.());
    await page.type(selector, text);
  },
  click: ({ selector }) => page.click(selector),
  viewport: ({ width, height }) => page.setViewport({ width, height }),
  screenshot: ({ path }) => page.screenshot({ path, fullPage: true }).then(() => null),
  problems: () => problems,
};

for await (const line of createInterface({ input: process.stdin })) {
  const command = JSON.parse(line);
  let answer;
  try {
    answer = { value: (await commands[command.do](command)) ?? null };
  } catch (error) {
    answer = { error: String(error?.message ?? error) };
  }
  process.stdout.write(`${JSON.stringify(answer)}\n`);
}
await browser.close();
