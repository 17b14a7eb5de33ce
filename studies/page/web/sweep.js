// A sweep's page: dots and lines of designs that share one pick.

import { find, island, unfoldForPaper } from "./basics.js";
import { bindScatter } from "./scatter.js";
import { bindPick } from "./pick.js";
import { createStore } from "./store.js";
import { bindParallelAxes } from "./parallel_axes.js";
import { tableOf } from "./table.js";

function beginSweep() {
  const table = tableOf(island("sweep"));
  /** @type {SweepState} */
  const first = {
    x: table.first.x,
    y: table.first.y,
    axes: table.first.axes,
    ranges: {},
    picked: null,
  };
  const store = createStore(first);
  /** @type {(name: string) => any} */
  const part = (name) => find(document, `[data-part="${name}"]`, Element);
  bindScatter(part, table, store);
  bindParallelAxes(part, table, store);
  bindPick(part, table, store);
  unfoldForPaper();
  document.documentElement.dataset.ready = "plots";
}

beginSweep();
