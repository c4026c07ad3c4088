// How the player's bar and what it lays over the plots look: by the page's own variables where it has them.

import { FONT } from "./pens.js";

export const STYLE = `
.anchorsim-player { box-sizing:border-box; color:var(--ink,var(--own-ink)); background:var(--paper,var(--own-paper)); padding:2px 4px;
  font:var(--t2,calc(14px * var(--own-k))) ${FONT}; display:flex; flex-wrap:wrap; gap:4px 8px; align-items:center; }
.anchorsim-player button, .anchorsim-player select { font:inherit; color:inherit; background:var(--paper,var(--own-paper));
  border:1px solid var(--line,var(--own-faint)); border-radius:8px; min-height:28px; padding:2px 12px; margin:0; }
.anchorsim-player .toggle { min-width:calc(76px * var(--k,var(--own-k))); font-weight:600; }
.anchorsim-player output { font-variant-numeric:tabular-nums; margin-left:auto; white-space:nowrap; }
.anchorsim-player input { flex:1 1 160px; min-width:120px; min-height:24px; accent-color:var(--ink,var(--own-ink)); }
.anchorsim-player [hidden] { display:none; }
.anchorsim-overlay { position:absolute; left:0; top:0; pointer-events:none; z-index:5; }
.anchorsim-played .infolayer .annotation { display:none; }
.anchorsim-played .modebar-container { top:26px !important; }
.anchorsim-view-load .anchorsim-played .modebar-container { display:none; }
.anchorsim-timeline { position:absolute; inset:26px 0 0; z-index:6; cursor:ew-resize; touch-action:pan-y; user-select:none; }
.anchorsim-save { position:absolute; top:0; right:2px; z-index:7; display:flex; flex-direction:row-reverse; gap:4px; }
.anchorsim-save summary { list-style:none; cursor:pointer; min-width:24px; text-align:center; }
.anchorsim-save summary::-webkit-details-marker { display:none; }
.anchorsim-save :is(summary, button) { font:calc(12px * var(--k,1)) ${FONT}; line-height:calc(22px * var(--k,1)); min-height:24px; padding:0 6px; box-sizing:border-box;
  color:var(--ink,var(--own-ink)); background:var(--paper,var(--own-paper)); border:1px solid transparent; border-radius:8px; }
.anchorsim-save summary { font-size:calc(16px * var(--k,1)); }
.anchorsim-save :is(summary:hover, button, &[open] summary) { border-color:var(--line,var(--own-faint)); }
:is(.anchorsim-player, .anchorsim-save) :focus-visible, :is(.anchorsim-player, .anchorsim-timeline):focus-visible {
  outline:3px solid var(--ink,var(--own-ink)); outline-offset:-3px; }
@media (pointer: coarse) {
  .anchorsim-player :is(button, select, input), .anchorsim-save button { min-height:44px; min-width:44px; }
  .anchorsim-save summary { position:relative; } .anchorsim-save summary::after { content:""; position:absolute; inset:-10px; }
}
@media (forced-colors: active) {
  .anchorsim-played .svg-container > .main-svg:first-of-type { background:Canvas !important; }
  .anchorsim-played .main-svg text { fill:CanvasText !important; }
  .anchorsim-played :is(.bglayer .bg, .bg) { fill:Canvas !important; }
  .anchorsim-played .shapelayer path { fill:transparent !important; stroke:GrayText !important; }
  .anchorsim-played :is(.gridlayer path, .xlines-above, .ylines-above, path.xtick, path.ytick) { stroke:GrayText !important; }
  .anchorsim-played :is(.scatterlayer path, .barlayer path) { stroke:CanvasText !important; }
  .anchorsim-played .js-fill { fill:transparent !important; }
}`;

// What the layer is drawn with where the person's own colours are to be kept to.
export const SYSTEM = { ink: "CanvasText", paper: "Canvas", faint: "GrayText", hull: "Canvas", load: "Highlight", wind: "CanvasText",
  setups: ["CanvasText", "Highlight", "LinkText", "GrayText"] };
