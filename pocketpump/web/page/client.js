// Starts Flet's client once the glance is on the screen.
(() => {
  // Flutter forbids zooming by a viewport of its own. People need it: take that part out.
  const viewport = "width=device-width, initial-scale=1";
  const mend = () => {
    for (const meta of document.querySelectorAll('meta[name="viewport"]')) {
      if (meta.content !== viewport) meta.content = viewport;
    }
  };
  new MutationObserver(mend).observe(document.head, {
    childList: true, subtree: true, attributes: true, attributeFilter: ["content"],
  });

  // The accessibility tree is off until this hidden button is pressed.
  window.addEventListener("flutter-first-frame", () => {
    performance.mark("flutter-first-frame");
    document.querySelector("flt-semantics-placeholder")?.click();
  }, { once: true });

  const failed = (error) => {
    console.error(error);
    trouble.tell("could_not_load");
  };

  // Flutter keeps to itself that it has nothing to draw with, and waits for it for ever.
  for (const name of ["compileStreaming", "instantiate"]) {
    const real = WebAssembly[name];
    WebAssembly[name] = (...given) => {
      const made = real.apply(WebAssembly, given);
      made.catch(failed);
      return made;
    };
  }

  function start() {
    // flutter.js asks for it only when it has run itself.
    const ahead = document.createElement("link");
    Object.assign(ahead, { rel: "preload", as: "script", href: `${PAGE.release}main.dart.js` });
    const script = document.createElement("script");
    script.src = `${PAGE.release}flutter.js`;
    script.onload = () => {
      _flutter.buildConfig = PAGE.flutterBuild;
      const config = {
        renderer: "canvaskit",
        canvasKitBaseUrl: flet.canvasKitBaseUrl,
        fontFallbackBaseUrl: flet.fontFallbackBaseUrl,
        entrypointBaseUrl: flet.entrypointBaseUrl,
        assetBase: flet.assetBase,
        multiViewEnabled: false,
      };
      _flutter.loader.load({
        config,
        async onEntrypointLoaded(initializer) {
          try {
            const engine = await initializer.initializeEngine(config);
            flet.flutterApp = await engine.runApp();
            flet.flutterAppResolve(flet.flutterApp);
          } catch (error) {
            failed(error);
          }
        },
      })?.catch?.(failed);
    };
    document.head.append(ahead, script);
  }

  onceGlanceIsPainted(start);
})();
