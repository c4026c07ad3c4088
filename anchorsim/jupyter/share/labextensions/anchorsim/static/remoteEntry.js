// A JupyterLab extension written by hand, so that nothing needs to be built: the shape of a federated module
// is an object with init() and get().  It runs a notebook that ships with anchorsim as soon as it is opened,
// and keeps its code out of sight.  Only what is just as it shipped runs by itself: the server marks that, and
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
    + 'A survey goes on where it was; a set-up that was not saved begins anew.';
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
  const watchKernel = (app, panel) => panel.sessionContext.statusChanged.connect((_, status) => {
    if (['starting', 'restarting', 'autorestarting', 'dead'].includes(status) && !app.serviceManager.isDisposed) leave(app);
  });

  const run = async (app, panel) => {
    await panel.context.ready;
    if (panel.content.model.getMetadata(MARK) !== true) return;
    const fresh = written(panel.content.model);
    panel.addClass('anchorsim-app');
    claim(app, panel.context.path);
    for (const part of [panel.toolbar, ...app.shell.layout.widgets]) {
      if (part === panel.toolbar || part.id === 'jp-top-panel') part.hide();
    }
    app.shell.collapseLeft();
    app.shell.collapseRight();
    for (const side of ['left', 'right']) {
      if (app.shell.isSideTabBarVisible(side)) await app.commands.execute('application:toggle-side-tabbar', { side });
    }
    await panel.sessionContext.ready;
    if (!panel.sessionContext.session || !panel.sessionContext.session.kernel) return;
    await panel.sessionContext.session.kernel.info;
    await widgetsFetched(panel);
    watchKernel(app, panel);
    forgetOutputs(panel.content.model, fresh);
    await app.commands.execute('notebook:run-all-cells');
  };

  const plugin = {
    id: 'anchorsim:plugin',
    autoStart: true,
    activate: (app) => {
      const style = document.createElement('style');
      style.textContent = CSS;
      document.head.appendChild(style);
      const seen = new WeakSet();
      const look = () => {
        const panel = app.shell.currentWidget;
        if (!panel || !panel.sessionContext || !panel.content || !panel.content.widgets || seen.has(panel)) return;
        seen.add(panel);
        run(app, panel).catch((error) => console.error('anchorsim:', error));
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
