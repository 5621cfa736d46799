// How is a browser driven from a test with nothing but Node? Chromium's own protocol over two pipes: no driver, no socket, no package.
//
// Messages are JSON with a NUL behind each, to file descriptor 3 of the browser and back from its 4 (--remote-debugging-pipe).

import { spawn } from 'node:child_process';
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';

/** Opens a browser; `close` ends it and wipes its folder. */
export async function open(program) {
  const folder = mkdtempSync(join(tmpdir(), 'field-page-'));
  const flags = ['--headless=new', '--remote-debugging-pipe', `--user-data-dir=${folder}`, '--no-first-run', '--disable-gpu', '--lang=en-US',
    '--hide-scrollbars', '--disable-background-networking', '--disable-component-update', '--no-default-browser-check', '--disable-dev-shm-usage'];
  // A browser run by root refuses its sandbox.
  if (process.getuid && process.getuid() === 0) flags.push('--no-sandbox');
  const child = spawn(program, [...flags, 'about:blank'], { stdio: ['ignore', 'ignore', 'ignore', 'pipe', 'pipe'] });
  const [to, from] = [child.stdio[3], child.stdio[4]];
  let [last, rest] = [0, ''];
  const [waiting, listeners] = [new Map(), []];
  const gone = new Error('the browser ended before its time');
  to.on('error', () => {});
  child.on('exit', () => waiting.forEach(({ reject }) => reject(gone)));
  child.on('error', (error) => waiting.forEach(({ reject }) => reject(error)));
  from.setEncoding('utf8');
  from.on('data', (text) => {
    const parts = (rest + text).split('\0');
    rest = parts.pop();
    for (const part of parts) {
      const message = JSON.parse(part);
      const asked = waiting.get(message.id);
      waiting.delete(message.id);
      if (asked && message.error) asked.reject(new Error(`${asked.method}: ${message.error.message}`));
      else if (asked) asked.resolve(message.result);
      else listeners.forEach((listen) => listen(message));
    }
  });
  const send = (method, params = {}, sessionId = undefined) => new Promise((resolve, reject) => {
    last += 1;
    waiting.set(last, { resolve, reject, method });
    to.write(`${JSON.stringify({ id: last, method, params, sessionId })}\0`);
  });
  const close = async () => {
    const ended = new Promise((resolve) => { child.once('exit', resolve); });
    await send('Browser.close').catch(() => child.kill());
    await ended;
    rmSync(folder, { recursive: true, force: true, maxRetries: 5 });
  };
  return { send, listeners, close };
}

/** A page of that width, with what a person does to it. Everything it complains of gathers in `complaints`. */
export async function openPage(browser, url, width, height) {
  const { targetId } = await browser.send('Target.createTarget', { url: 'about:blank' });
  const { sessionId } = await browser.send('Target.attachToTarget', { targetId, flatten: true });
  const send = (method, params) => browser.send(method, params, sessionId);
  const [complaints, requests] = [[], []];
  let loaded = () => {};
  browser.listeners.push((m) => {
    if (m.sessionId !== sessionId) return;
    if (m.method === 'Page.loadEventFired') loaded();
    if (m.method === 'Runtime.exceptionThrown') complaints.push(m.params.exceptionDetails.exception?.description || m.params.exceptionDetails.text);
    if (m.method === 'Runtime.consoleAPICalled') complaints.push(m.params.args.map((a) => a.value || a.description).join(' '));
    if (m.method === 'Log.entryAdded') complaints.push(m.params.entry.text);
    if (m.method === 'Page.javascriptDialogOpening') complaints.push(`a dialog: ${m.params.message}`);
    if (m.method === 'Network.requestWillBeSent' && !/^(data|blob):/.test(m.params.request.url)) requests.push(m.params.request.url);
  });
  for (const part of ['Page', 'Runtime', 'Log', 'Network']) await send(`${part}.enable`);
  await send('Emulation.setDeviceMetricsOverride', { width, height, deviceScaleFactor: 1, mobile: width < 600 });
  await send('Network.emulateNetworkConditions', { offline: true, latency: 0, downloadThroughput: 0, uploadThroughput: 0 });
  const go = async (to) => {
    const done = new Promise((resolve) => { loaded = resolve; });
    await send('Page.navigate', { url: to });
    await done;
  };
  const run = async (expression) => {
    const got = await send('Runtime.evaluate', { expression, returnByValue: true, awaitPromise: true });
    if (got.exceptionDetails) throw new Error(got.exceptionDetails.exception?.description || got.exceptionDetails.text);
    return got.result.value;
  };
  await go(url);
  const of = (selector) => `document.querySelector(${JSON.stringify(selector)})`;
  return {
    send, run, go, complaints, requests,
    reload: () => go(url),
    /** What a person reads there. */
    text: (selector) => run(`${of(selector)}.innerText`),
    click: (selector) => run(`${of(selector)}.click()`),
    /** Types a text the way a hand does, in place of what was there. */
    async type(selector, text) {
      await run(`${of(selector)}.focus(), ${of(selector)}.select?.()`);
      if (text === '') await send('Input.dispatchKeyEvent', { type: 'keyDown', key: 'Delete', code: 'Delete', windowsVirtualKeyCode: 46 });
      await send('Input.insertText', { text });
    },
    choose: (selector, value) => run(`(() => { const s = ${of(selector)}; s.value = ${JSON.stringify(value)}; s.dispatchEvent(new Event('change', { bubbles: true })); return s.value; })()`),
    async press(key, code = key) {
      const text = key === 'Enter' ? '\r' : key.length === 1 ? key : undefined;
      await send('Input.dispatchKeyEvent', { type: 'keyDown', key, code, text, windowsVirtualKeyCode: key === 'Enter' ? 13 : undefined });
      await send('Input.dispatchKeyEvent', { type: 'keyUp', key, code });
    },
    async tap(x, y) {
      for (const type of ['mousePressed', 'mouseReleased']) await send('Input.dispatchMouseEvent', { type, x, y, button: 'left', clickCount: 1 });
    },
    async picture(whole = false) {
      const got = await send('Page.captureScreenshot', { format: 'png', captureBeyondViewport: whole });
      return Buffer.from(got.data, 'base64');
    },
  };
}
