// A JupyterLab extension written by hand, so that nothing needs to be built: the shape of a federated module
// is an object with init() and get().  It runs a notebook that ships with anchorsim as soon as it is opened,
// and keeps its code, JupyterLab's menus and its keys out of reach until they are asked for.  Only what is just as it shipped runs by itself: the server marks that, and
// takes the mark off every other notebook (anchorsim/jupyter/contents.py), which waits for a click.
(function () {
  const CSS = `
    .anchorsim-app .jp-InputPlaceholder,
    .anchorsim-app .jp-OutputPlaceholder,
    .anchorsim-app .jp-Cell-inputWrapper.jp-mod-hidden,
    .anchorsim-app .jp-Notebook-footer,
    .anchorsim-app .jp-OutputPrompt,
    .anchorsim-app .jp-OutputArea-promptOverlay,
    .anchorsim-app .jp-Collapser { display: none !important; }
    .anchorsim-app .jp-Notebook .jp-Cell { padding: 0; }
    .anchorsim-app .jp-WindowedPanel-outer { padding: 0 !important; }
    .anchorsim-moved { display: grid; gap: 1em; justify-items: center; padding: 20vh 1em; font: 16px sans-serif; }
    .anchorsim-app .jp-OutputArea-output { padding: 0; }
    .anchorsim-app .jp-Notebook .jp-Notebook-cell,
    .anchorsim-app .jp-Notebook .jp-Notebook-cell .jp-OutputArea { box-shadow: none !important; }
    .anchorsim-app .jp-WindowedPanel-viewport { padding: 2px 8px !important; }
    .anchorsim-app .jp-Cell-outputWrapper { margin-top: 0 !important; }
    /* A screen has the window to itself, and the notebook's other cells are of no use to who looks at it. */
    .anchorsim-app.anchorsim-alone .jp-WindowedPanel-viewport { padding: 0 !important; }
    .anchorsim-app.anchorsim-alone .jp-Cell:not(.anchorsim-shows) { display: none; }
    .anchorsim-corner { position: fixed; right: 2px; bottom: 2px; z-index: 50; min-height: 24px; padding: 0 8px; border: 1px solid;
      border-radius: 8px; font: 12px system-ui, sans-serif; color: var(--jp-ui-font-color1); background: var(--jp-layout-color1); cursor: pointer; }
    .anchorsim-shows > .anchorsim-corner { position: static; margin: 8px; }
    body:has(.jp-OutputArea-output .anchorsim-show-notebook) .anchorsim-corner { display: none; }
    .anchorsim-corner:focus-visible { outline: 3px solid; outline-offset: -3px; }
    .jp-OutputArea.anchorsim-still + .jp-OutputArea { position: absolute; top: 0; left: 0; right: 0; visibility: hidden; }
    .jp-Cell-outputWrapper:has(> .anchorsim-still) { position: relative; }
    /* What a file says stays in its place, whatever position it gives itself. */
    .jp-RenderedHTMLCommon, .jp-RenderedSVG { contain: paint; }`;

  const MARK = 'anchorsim_ships'; // as in anchorsim/jupyter/contents.py
  const written = (model) => JSON.stringify([...model.cells].map((cell) => [cell.type, cell.sharedModel.getSource()]));

  // Outputs of a shipped notebook are made anew each time, so a page that only shows them has nothing to lose:
  // no question on closing it.  Once the person writes in it, it counts as theirs again.
  const forgetOutputs = (model, fresh) => {
    const unedited = () => fresh === written(model);
    model.stateChanged.connect((_, change) => {
      if (change.name === 'dirty' && change.newValue && unedited()) model.dirty = false;
    });
    model.dirty = false;
  };

  // ipywidgets begins by fetching what widgets the kernel has; one that is made meanwhile misses its updates.
  const widgetsFetched = async (panel) => {
    const renderer = panel.content.rendermime.createRenderer('application/vnd.jupyter.widget-view+json');
    const manager = renderer._manager && (await renderer._manager.promise);
    if (manager && !manager.restoredStatus) await new Promise((done) => manager.restored.connect(done));
    renderer.dispose();
  };

  // The kernel serves one page: loading another starts it anew, and this one has nothing left to talk to.  Tabs of
  // one browser tell each other; to another browser the kernel's starting tells it.
  const MOVED = 'The explorer has been started again, in another tab or by hand. Reload this page to use it here. '
    + 'Everything is as you left it.';
  const tabs = new BroadcastChannel('anchorsim');
  const leave = (app) => {
    tabs.close();
    const notice = Object.assign(document.createElement('div'), { className: 'anchorsim-moved', role: 'alert' });
    const button = Object.assign(document.createElement('button'), { textContent: 'Reload', onclick: () => location.reload() });
    notice.append(MOVED, button);
    document.body.replaceChildren(notice);
    app.serviceManager.dispose();
  };
  const claim = (app, path) => {
    tabs.postMessage(path);
    tabs.onmessage = (event) => event.data === path && leave(app);
  };
  // A kernel that starts says so once, which is missed while the line to it is laid anew; but all that it says names its session.
  const watchKernel = (app, panel) => {
    let session = null;
    const go = () => app.serviceManager.isDisposed || leave(app);
    panel.sessionContext.statusChanged.connect((_, status) => {
      if (['starting', 'restarting', 'autorestarting', 'dead'].includes(status)) go();
    });
    panel.sessionContext.iopubMessage.connect((_, { header }) => {
      if (header.msg_type !== 'status') return;
      session ??= header.session;
      if (header.session !== session) go();
    });
  };

  // JupyterLab's part of the page, its keys and its context menu are there or not as a whole.  Its one listener on
  // the document is what all its keys go through; those of the browser and of our own parts never do.
  const MAIN = 'jp-main-content-panel';
  const OURS = 'anchorsim-closed', TAKEN = ['keydown', 'keyup', 'contextmenu'];
  const SHOW = 'Show notebook', HIDE = 'Hide notebook';
  const holdKeys = (app) => {
    const handle = app.handleEvent.bind(app);
    app.handleEvent = (event) => {
      if (!document.body.classList.contains(OURS) || !TAKEN.includes(event.type)) handle(event);
    };
    window.addEventListener('keydown', (event) => { // the browser's would save the page, which nobody means
      if (document.body.classList.contains(OURS) && (event.ctrlKey || event.metaKey) && event.key.toLowerCase() === 's') event.preventDefault();
    });
  };

  const show = (panel, around, asked) => {
    document.body.classList.toggle(OURS, !asked);
    panel.toggleClass('anchorsim-app', !asked);
    panel.content.mode = 'command';
    panel.content.model.readOnly = !asked;
    for (const part of around) part.setHidden(!asked);
    for (const cell of panel.content.widgets) {
      cell.node.role = 'article'; // JupyterLab calls the notebook a feed, which has articles and nothing else
      if (cell.model.type === 'code') cell.inputHidden = !asked;
    }
    for (const button of document.querySelectorAll(BUTTON)) button.textContent = asked ? HIDE : SHOW;
    panel.content.outerNode.scrollTop = 0;
  };

  // A screen may have such a button of its own, and then needs none in the corner.
  const BUTTON = '.anchorsim-show-notebook';
  const addButton = (panel, around) => {
    const corner = Object.assign(document.createElement('button'), { type: 'button', className: `anchorsim-corner ${BUTTON.slice(1)}` });
    document.body.append(corner);
    document.addEventListener('click', (event) => {
      if (event.target.closest?.(BUTTON)) show(panel, around, document.body.classList.contains(OURS));
    });
    return corner;
  };

  // The page comes with a frame that looks like the screen to come.
  const SCREENS = { explorer: '.anchorsim-head-row [role=tab]', survey: '.anchorsim-survey .anchorsim-rail button', lesson: '.anchorsim-teaches .anchorsim-asked h2' };
  const WAITS = 180000; // ms, three times what a first start takes; then whatever is there is shown
  const frame = () => document.getElementById('anchorsim-frame');
  const uncover = () => frame() && requestAnimationFrame(() => frame()?.remove());
  const watchScreen = (panel, corner) => {
    const look = () => {
      const part = Object.values(SCREENS).map((name) => panel.node.querySelector(name)).find(Boolean);
      if (!part) return false;
      panel.addClass('anchorsim-alone');
      const cell = part.closest('.jp-Cell');
      cell.classList.add('anchorsim-shows');
      cell.append(corner);
      uncover();
      return true;
    };
    const observer = new MutationObserver(() => look() && observer.disconnect());
    observer.observe(panel.node, { childList: true, subtree: true });
  };
  const failed = (panel) => panel.node.querySelector('[data-mime-type="application/vnd.jupyter.error"]');

  // Running all cells takes the notebook to its end, where a person who has not moved it does not want to be.
  const stayAtTop = (panel) => {
    const outer = panel.content.outerNode, top = () => { outer.scrollTop = 0; };
    const letGo = () => outer.removeEventListener('scroll', top);
    outer.addEventListener('scroll', top);
    for (const kind of ['wheel', 'pointerdown', 'keydown']) panel.node.addEventListener(kind, letGo, { once: true });
    return letGo;
  };

  // A cell that runs clears its outputs first: a still of them stays in their place until it is done.
  const DRAWN = 500; // ms that a picture takes once its cell is done
  const PATIENCE = 10000; // ms for those that it was saved with
  const drawn = async (panel) => {
    const outputs = [...panel.content.model.cells].flatMap((cell) => cell.outputs?.toJSON() ?? []);
    const wanted = outputs.filter((output) => output.data?.[PLOT]).length;
    const PICTURES = '.jp-RenderedPlotly:has(.main-svg), .jp-RenderedImage'; // the second once it has kept a copy
    const undrawn = () => panel.node.querySelectorAll(PICTURES).length < wanted;
    for (const end = Date.now() + PATIENCE; undrawn() && Date.now() < end;) await new Promise((done) => setTimeout(done, 100));
  };
  const keepStills = (panel) => {
    const clears = panel.content.widgets.filter((cell) => cell.outputArea?.layout.widgets.length).map((cell) => {
      const area = cell.outputArea.node, still = area.cloneNode(true);
      Object.assign(still, { inert: true, ariaHidden: 'true' });
      still.classList.add('anchorsim-still');
      area.before(still);
      const clear = () => setTimeout(() => still.remove(), DRAWN);
      cell.model.stateChanged.connect((_, change) => change.name === 'executionCount' && change.newValue && clear());
      return clear;
    });
    return () => clears.forEach((clear) => clear());
  };

  // Pictures among a notebook's outputs were drawn in the light colours of anchorsim/figures/style.py; in dark they
  // are shown in its dark ones (tests/figures/test_dark_outputs.py holds the two to each other).
  const DARK = {
    '#FFFFFF': '#17222A', '#1B2A38': '#E8EEF2', '#586876': '#A3B1BC', '#D3DDE4': '#2C3A45', '#DCEAF2': '#16262F',
    '#D9CBAE': '#4B4230', '#0072B2': '#56B4E9', '#6D7B87': '#93A1AC', '#8A6D00': '#F0E442',
  };
  const PLOT = 'application/vnd.plotly.v1+json';
  const inDark = () => document.body.dataset.jpThemeLight === 'false';
  const hex = (parts) => `#${parts.map((part) => Number(part).toString(16).padStart(2, '0')).join('')}`.toUpperCase();
  const rgb = (colour) => [1, 3, 5].map((place) => parseInt(colour.slice(place, place + 2), 16)).join(',');
  const recoloured = (value) => {
    if (typeof value === 'string') {
      return value.replace(/#[0-9a-f]{6}\b/gi, (colour) => DARK[colour.toUpperCase()] ?? colour)
        .replace(/rgba\((\d+),(\d+),(\d+),/g, (whole, ...parts) => {
          const dark = DARK[hex(parts.slice(0, 3))];
          return dark ? `rgba(${rgb(dark)},` : whole;
        });
    }
    if (Array.isArray(value)) return value.map(recoloured);
    if (value === null || typeof value !== 'object') return value;
    return Object.fromEntries(Object.entries(value).map(([key, held]) => [key, recoloured(held)]));
  };
  const dressed = (model) => ({
    metadata: model.metadata, trusted: model.trusted, setData: () => {},
    data: { ...model.data, [PLOT]: inDark() ? recoloured(model.data[PLOT]) : structuredClone(model.data[PLOT]) },
  });
  const dressPictures = (panel) => {
    const pictures = new Set();
    const take = (renderer) => {
      const draw = renderer.createGraph.bind(renderer);
      renderer.createGraph = (model) => draw(dressed(model));
      pictures.add(renderer);
      return renderer;
    };
    const registry = panel.content.rendermime, factory = registry.getFactory(PLOT);
    if (!factory) return;
    registry.addFactory({ ...factory, createRenderer: (options) => take(factory.createRenderer(options)) });
    const walk = (part) => (part.createGraph ? take(part) : [...(part.layout ?? [])].forEach(walk));
    for (const cell of panel.content.widgets) if (cell.outputArea) walk(cell.outputArea);
    const redraw = () => pictures.forEach((one) => {
      if (one.isDisposed) pictures.delete(one);
      else if (one._model) one.createGraph(one._model);
    });
    new MutationObserver(redraw).observe(document.body, { attributeFilter: ['data-jp-theme-light'] });
    if (inDark()) redraw();
  };

  const run = async (app, panel) => {
    await panel.context.ready;
    if (panel.content.model.getMetadata(MARK) !== true) return void open();
    const fresh = written(panel.content.model);
    claim(app, panel.context.path);
    app.shell.collapseLeft();
    app.shell.collapseRight();
    for (const side of ['left', 'right']) {
      if (app.shell.isSideTabBarVisible(side)) await app.commands.execute('application:toggle-side-tabbar', { side });
    }
    const around = [panel.toolbar, ...app.shell.layout.widgets.filter((part) => part.id !== MAIN && !part.isHidden)];
    const corner = addButton(panel, around);
    show(panel, around, false);
    watchScreen(panel, corner);
    dressPictures(panel);
    await panel.sessionContext.ready;
    if (!panel.sessionContext.session || !panel.sessionContext.session.kernel) return void uncover();
    await panel.sessionContext.session.kernel.info;
    await widgetsFetched(panel);
    watchKernel(app, panel);
    forgetOutputs(panel.content.model, fresh);
    await drawn(panel);
    const letGo = stayAtTop(panel), clear = keepStills(panel);
    await app.commands.execute('notebook:run-all-cells');
    clear();
    letGo();
    if (failed(panel)) uncover();
  };
  const open = () => {
    document.body.classList.remove(OURS);
    uncover();
  };

  // While the colours follow the system, JupyterLab takes the choice of a theme only for the end of that.
  const takeTheme = (app) => {
    const CHOICE = 'apputils:change-theme';
    let again = false;
    app.commands.commandExecuted.connect((_, { id, args, result }) => {
      if (id !== CHOICE || again) return;
      again = true;
      result.then(() => app.commands.execute(CHOICE, args)).finally(() => { again = false; });
    });
  };

  const plugin = {
    id: 'anchorsim:plugin',
    autoStart: true,
    activate: (app) => {
      const style = document.createElement('style');
      style.textContent = CSS;
      document.head.appendChild(style);
      holdKeys(app);
      takeTheme(app);
      if (frame()) document.body.classList.add(OURS);
      setTimeout(uncover, WAITS);
      const seen = new WeakSet();
      const look = () => {
        const panel = app.shell.currentWidget;
        if (!panel || !panel.sessionContext || !panel.content || !panel.content.widgets || seen.has(panel)) return;
        seen.add(panel);
        run(app, panel).catch((error) => {
          console.error('anchorsim:', error);
          open();
        });
      };
      app.restored.then(() => {
        app.shell.currentChanged.connect(look);
        look();
      });
    },
  };

  const modules = { './extension': () => ({ __esModule: true, default: plugin }) };
  window._JUPYTERLAB = window._JUPYTERLAB || {};
  window._JUPYTERLAB.anchorsim = { init: async () => {}, get: async (name) => modules[name] };
})();
