// A sweep's page: dots and lines of designs that share one pick.

import { island, unfoldForPaper } from "./basics.js";
import { bindCloud } from "./cloud.js";
import { bindPick } from "./pick.js";
import { createStore } from "./store.js";
import { bindStrands } from "./strands.js";
import { tableOf } from "./table.js";

function beginSweep() {
  const table = tableOf(island("sweep"));
  const store = createStore({
    x: table.first.x,
    y: table.first.y,
    axes: table.first.axes,
    ranges: {},
    picked: null,
  });
  const part = (name) => document.querySelector(`[data-part="${name}"]`);
  bindCloud(part, table, store);
  bindStrands(part, table, store);
  bindPick(part, table, store);
  unfoldForPaper();
  document.documentElement.dataset.ready = "plots";
}

beginSweep();
