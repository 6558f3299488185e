// The worker that runs Python. boot.js turns this function into the source of a blob worker, because a page
// opened from disk can start no worker from a file; it may therefore use nothing from outside itself.
//
// In:  {type: "memory", bytes, wanted, solved} what an earlier visit left: the interpreter's memory or null, solutions
//      {type: "asset", name, text}             one packed part, gzip in base64
//      {type: "call", id, request}             JSON text for calc.browser.handle
// Out: {type: "ready" | "boot-failed", id: 0}
//      {type: "memory", bytes}                 the interpreter's memory, when it is wanted for later visits
//      {type: "solved", text}                  all solutions so far, when an answer has added one
//      {type: "result" | "invalid" | "no-solution" | "crash", id, body}
Turnabout.pythonWorker = () => {
  // Pyodide believes that it loads from here; .invalid can never be a real host.
  const ORIGIN = "https://python.invalid/";
  const KINDS = ["result", "invalid", "no-solution", "crash"];
  // Of the standard library, what numpy and calc import when they start: a memory that is kept holds it already.
  // Not ctypes, which makes functions outside the memory.
  const EARLY = ["csv", "datetime", "html", "json", "numbers", "pickle", "platform", "tomllib"];
  const arrived = {};
  const parts = {};
  for (const name of ["memory", "wasm", "core", "stdlib", "packages", "calc"]) {
    parts[name] = new Promise((resolve) => {
      arrived[name] = resolve;
    });
  }

  function bytesOfBase64(text) {
    if (Uint8Array.fromBase64) return Uint8Array.fromBase64(text);
    const raw = atob(text);
    const bytes = new Uint8Array(raw.length);
    for (let i = 0; i < raw.length; i++) bytes[i] = raw.charCodeAt(i);
    return bytes;
  }

  // A response whose body is still being unpacked, so that the wasm is compiled while it comes.
  async function unpack(name, text) {
    const stream = new Blob([bytesOfBase64(text)]).stream().pipeThrough(new DecompressionStream("gzip"));
    const type = name === "wasm" ? "application/wasm" : "application/octet-stream";
    return new Response(stream, { headers: { "Content-Type": type } });
  }

  // Files in one piece, as scripts/pack_runtime.py writes them.
  async function filesOf(part) {
    const bundle = new Uint8Array(await (await part).arrayBuffer());
    const size = new DataView(bundle.buffer).getUint32(0, true);
    const index = JSON.parse(new TextDecoder().decode(bundle.subarray(4, 4 + size)));
    const files = new Map();
    let at = 4 + size;
    for (const [name, length] of index) {
      files.set(name, bundle.subarray(at, at + length));
      at += length;
    }
    return files;
  }

  function importBytes(bytes) {
    const address = URL.createObjectURL(new Blob([bytes], { type: "text/javascript" }));
    importScripts(address);
    URL.revokeObjectURL(address);
  }

  // The wasm is compiled as it comes, beside the unpacking of the rest; Pyodide, which asks for it late, gets the
  // module. It would wait for ever for one that can't be compiled; this promise is rejected then.
  function compileWasm() {
    const module = parts.wasm.then((response) => WebAssembly.compileStreaming(response));
    WebAssembly.instantiateStreaming = async (_, imports) => ({
      module: await module,
      instance: await WebAssembly.instantiate(await module, imports),
    });
    return module;
  }

  function place(FS, folder, files) {
    for (const [name, content] of files) {
      const path = `${folder}/${name}`;
      FS.mkdirTree(path.slice(0, path.lastIndexOf("/")));
      FS.writeFile(path, content, { canOwn: true });
    }
  }

  // The one place that makes a ready interpreter; gives back calc.browser.handle.
  async function startPython() {
    const placed = Promise.all([filesOf(parts.packages), filesOf(parts.calc)]);
    const module = compileWasm();
    for (const early of [placed, module]) early.catch(() => {}); // they are waited for below
    const core = await filesOf(parts.core);
    const served = {
      "pyodide.asm.wasm": new Response(), // compiled elsewhere
      "pyodide-lock.json": new Response(core.get("pyodide-lock.json")),
      "python_stdlib.zip": parts.stdlib,
    };
    self.fetch = async (address) => {
      const response = await served[String(address).slice(ORIGIN.length)];
      if (!response) throw new TypeError(`not packed: ${address}`);
      return response;
    };
    const { bytes: memory, wanted, solved } = await parts.memory;
    importBytes(core.get("pyodide.js"));
    importBytes(core.get("pyodide.asm.js"));
    const loading = self.loadPyodide({
      indexURL: ORIGIN,
      env: { PYTHONDONTWRITEBYTECODE: "1" },
      ...(memory && { _loadSnapshot: new Uint8Array(memory) }),
      _makeSnapshot: wanted,
      fsInit: async (FS, { sitePackages }) => {
        for (const files of await placed) place(FS, sitePackages, files);
      },
    });
    const python = await Promise.race([loading, Promise.all([placed, module]).then(() => loading)]);
    // Taken before numpy's libraries are loaded: those can't be put back into a memory.
    if (wanted) for (const name of EARLY) python.pyimport(name).destroy();
    const taken = wanted && python.makeMemorySnapshot();
    const { handle } = python.pyimport("calc.browser");
    if (solved) handle(`{"op": "remember", "solved": ${solved}}`);
    // What is loaded stays: looking through it for waste takes longer than an answer does.
    python.pyimport("gc").freeze();
    if (taken) self.postMessage({ type: "memory", bytes: taken.buffer }, [taken.buffer]);
    return handle;
  }

  function answer(handle, { id, request }) {
    try {
      const { solved, ...body } = JSON.parse(handle(request));
      if (!KINDS.includes(body.kind)) throw new Error(`an answer of unknown kind: ${body.kind}`);
      if (solved) self.postMessage({ type: "solved", text: JSON.stringify(solved) });
      self.postMessage({ type: body.kind, id, body });
    } catch (error) {
      // After a Python exception the interpreter is sound; after anything else it is not to be trusted.
      const fatal = error?.name !== "PythonError";
      const text = String(error?.message ?? error).trim();
      self.postMessage({ type: "crash", id, body: { kind: "crash", text, fatal } });
    }
  }

  const started = startPython();
  started.then(
    () => self.postMessage({ type: "ready", id: 0 }),
    (error) => self.postMessage({ type: "boot-failed", id: 0, text: String(error?.message ?? error).trim() }),
  );
  self.onmessage = async ({ data }) => {
    if (data.type === "memory") arrived.memory(data);
    else if (data.type === "asset") arrived[data.name]?.(unpack(data.name, data.text));
    else if (data.type === "call") answer(await started, data);
  };
};
