// Python in the page: started once, asked by all calculators of the page, and its failures told in words.
"use strict";
window.Turnabout = window.Turnabout || {};

(function (T) {
  const listeners = [];
  let python = null;
  let starting = null;

  T.engine = {
    /** idle, starting, ready or failed. */
    state: "idle",
    /** While starting: how far it has come. When failed: why. */
    detail: "",
    onState: (listener) => listeners.push(listener),
    /** Start Python, or wait for the start under way. Rejects when it can't be started; a later call tries again. */
    start() {
      starting ??= boot();
      return starting;
    },
    /** Ask Python. Always gets a reply once it has started, of kind "crash" if need be; rejects as `start` does. */
    async call(request) {
      await T.engine.start();
      const reply = await python.call(request);
      if (reply.ended || reply.fatal) {
        python = null;
        starting = null;
        move("idle");
      }
      return reply;
    },
  };

  function move(state, detail) {
    T.engine.state = state;
    T.engine.detail = detail || "";
    for (const listener of listeners) listener(state);
  }

  async function boot() {
    move("starting");
    // Progress may still be reported after a failure: other files were under way.
    const onProgress = (step) => { if (T.engine.state === "starting") move("starting", progress(step)); };
    try {
      python = await T.startPython({ root: T.root, onProgress });
    } catch (error) {
      starting = null;
      move("failed", error.message);
      throw error;
    }
    move("ready");
  }

  function progress({ step, done, total }) {
    const mega = (bytes) => Math.round(bytes / 1e5) / 10;
    return step === "loading" ? `${mega(done)} of ${mega(total)} MB read` : "";
  }
})(window.Turnabout);
