// Starts Python for a page. One way for http and disk, one entry:
//   Turnabout.startPython({root, onProgress}) -> Promise<{call(request) -> Promise<answer>, stop()}>
// root: address of the site's root; onProgress({step: "loading" | "starting" | "ready", done, total}): bytes.
// The promise is rejected with an Error whose message can be shown; a later start begins afresh.
// When the site is built, scripts/pack_runtime.py adds worker.js and the table of assets to this file.
(() => {
  const Turnabout = (self.Turnabout ??= {});
  const LOADING_LIMIT = 300_000; // ms: a slow network may take minutes
  const STARTING_LIMIT = 90_000; // ms: an old phone takes tens of seconds
  const CALL_LIMIT = 60_000; // ms
  const LEAST_MEMORY = 1_000_000; // bytes; a whole one has twenty times that
  const waiting = new Map(); // asset name -> those who wait for its text

  // Called by each asset's script.
  Turnabout.asset = (name, text) => {
    for (const take of waiting.get(name) ?? []) take(text);
    waiting.delete(name);
  };

  function loadScript(address) {
    return new Promise((resolve, reject) => {
      const script = document.createElement("script");
      script.src = address;
      script.async = true;
      script.onload = () => resolve(script.remove());
      script.onerror = () => reject(new Error(`A file of this site could not be read: ${address}`, script.remove()));
      document.head.append(script);
    });
  }

  function loadAsset(folder, { name, file }) {
    return new Promise((resolve, reject) => {
      waiting.set(name, [...(waiting.get(name) ?? []), resolve]);
      loadScript(folder + file).then(() => reject(new Error(`This file is damaged: ${file}`)), reject);
    });
  }

  function limited(promise, limit, text) {
    let timer;
    const late = new Promise((_, reject) => {
      timer = setTimeout(() => reject(new Error(text)), limit);
    });
    return Promise.race([promise, late]).finally(() => clearTimeout(timer));
  }

  function makeWorker() {
    const source = new Blob([`(${Turnabout.pythonWorker})();`], { type: "text/javascript" });
    const address = URL.createObjectURL(source);
    const worker = new Worker(address);
    URL.revokeObjectURL(address);
    return worker;
  }

  // What the browser keeps for later visits, when served; what can't be kept or read is done without. Each belongs to
  // one build of the runtime.
  class Shelf {
    constructor(name) {
      this.name = name;
    }
    async place(folder) {
      const build = Turnabout.assets.map(({ file }) => file.split("?")[1]).join("-");
      return [await self.caches.open(`turnabout-${this.name}`), `${folder}${this.name}?${build}`];
    }
    // What is there, as a Response; null when nothing is; undefined when nothing can be kept here.
    async get(folder) {
      if (!location.protocol.startsWith("http")) return undefined;
      try {
        const [cache, address] = await this.place(folder);
        return (await cache.match(address)) ?? null;
      } catch {
        return undefined;
      }
    }
    async keep(folder, body) {
      const [cache, address] = await this.place(folder);
      for (const older of await cache.keys()) if (!body || older.url !== address) await cache.delete(older);
      if (body) await cache.put(address, new Response(body));
    }
  }
  // The interpreter's memory right after its start: a later visit goes on from there, in half the time.
  const memory = new Shelf("python");
  // What the drive's slow solutions gave: the same build is not solved again on each page.
  const solutions = new Shelf("solved");

  // The worker as an object with calls; every way in which it can end settles everything that waits.
  class Python {
    constructor() {
      this.calls = new Map();
      this.next = 1;
      this.worker = makeWorker();
      this.ready = new Promise((resolve, reject) => {
        this.calls.set(0, { resolve, reject });
      });
      this.ready.catch(() => {}); // also when nobody has come to wait for it yet
      this.worker.onmessage = ({ data }) => this.settle(data);
      this.worker.onmessageerror = () => this.end("An answer from Python could not be read.");
      this.worker.onerror = (event) => this.end(`Python's worker failed: ${event.message || "no reason given"}`);
    }

    settle({ type, id, body, text, bytes }) {
      if (type === "memory" || type === "solved") {
        this.onKeep(type, bytes ?? text);
        return;
      }
      const call = this.calls.get(id);
      this.calls.delete(id);
      if (type === "boot-failed") call?.reject(new Error(`Python could not start: ${text}`));
      else call?.resolve(body);
      if (type === "crash" && body.fatal) this.end("Python broke down and must be started again.");
    }

    // A call always gets an answer: of kind crash, with `ended`, once this Python is gone.
    call(request, limit = CALL_LIMIT) {
      if (!this.worker) return Promise.resolve(Python.gone(this.reason));
      const id = this.next++;
      const answer = new Promise((resolve) => {
        this.calls.set(id, { resolve, reject: (error) => resolve(Python.gone(error.message)) });
      });
      this.worker.postMessage({ type: "call", id, request: JSON.stringify(request) });
      const seconds = Math.round(limit / 1000);
      return limited(answer, limit, `No answer within ${seconds} s; this run was stopped.`).catch((error) => {
        this.end(error.message);
        return Python.gone(error.message);
      });
    }

    static gone(text) {
      return { kind: "crash", text, ended: true };
    }

    end(reason) {
      if (!this.worker) return;
      this.reason = reason;
      this.worker.terminate();
      this.worker = null;
      for (const { reject } of this.calls.values()) reject(new Error(reason));
      this.calls.clear();
    }
  }

  async function load(python, folder, onProgress) {
    const total = Turnabout.assets.reduce((sum, { bytes }) => sum + bytes, 0);
    let done = 0;
    onProgress({ step: "loading", done, total });
    const loadOne = async (asset) => {
      const text = await loadAsset(folder, asset);
      python.worker?.postMessage({ type: "asset", name: asset.name, text });
      done += asset.bytes;
      onProgress({ step: done < total ? "loading" : "starting", done, total });
    };
    await Promise.all(Turnabout.assets.map(loadOne));
    return total;
  }

  Turnabout.startPython = async ({ root = ".", onProgress = () => {} } = {}) => {
    const folder = new URL("assets/runtime/", new URL(`${root.replace(/\/?$/, "/")}`, document.baseURI)).href;
    const python = new Python();
    python.onKeep = (type, body) => {
      const shelf = type === "memory" ? memory : solutions;
      if (location.protocol.startsWith("http")) shelf.keep(folder, body).catch(() => {});
    };
    const looking = Promise.all([memory.get(folder), solutions.get(folder)]).then(async ([kept, solved]) => {
      const read = kept ? await kept.arrayBuffer() : null;
      const bytes = read && read.byteLength > LEAST_MEMORY ? read : null; // less is a torn one, and would hang
      const wanted = kept !== undefined && bytes === null;
      const told = { bytes, wanted, solved: solved ? await solved.text() : "" };
      python.worker?.postMessage({ type: "memory", ...told }, bytes ? [bytes] : []);
      return bytes === null;
    });
    try {
      const loading = Promise.race([load(python, folder, onProgress), python.ready]);
      const total = await limited(loading, LOADING_LIMIT, "Python could not be loaded within five minutes.");
      await limited(python.ready, STARTING_LIMIT, "Python did not start within a minute and a half.");
      onProgress({ step: "ready", done: total, total });
    } catch (error) {
      python.end(error.message);
      if (await looking) throw error;
      await memory.keep(folder, null).catch(() => {}); // perhaps that was at fault: once more without it
      return Turnabout.startPython({ root, onProgress });
    }
    return { call: (request, limit) => python.call(request, limit), stop: () => python.end("Python was stopped.") };
  };
})();
