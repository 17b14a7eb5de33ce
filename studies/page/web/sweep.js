// A sweep's page: dots and lines of designs that share one pick.

import { find, island, unfoldForPaper } from "./basics.js";
import { bytesOf } from "./decode.js";
import { bindMultiples } from "./multiples.js";
import { bindScatter } from "./scatter.js";
import { bindPick } from "./pick.js";
import { bindPickedLadder } from "./picked_ladder.js";
import { createStore } from "./store.js";
import { bindSweepAddress, stateOfAddress } from "./sweep_address.js";
import { bindParallelAxes } from "./parallel_axes.js";
import { tableOf } from "./table.js";

function beginSweep() {
  const table = tableOf(island("sweep"), bytesOf(island("ramps").plain));
  const store = createStore(stateOfAddress(table));
  /** @type {(name: string) => any} */
  const part = (name) => find(document, `[data-part="${name}"]`, Element);
  bindScatter(part, table, store);
  bindMultiples(part, table, store);
  bindParallelAxes(part, table, store);
  bindPick(part, table, store);
  bindPickedLadder(part, table, store);
  bindSweepAddress(table, store);
  unfoldForPaper();
  document.documentElement.dataset.ready = "plots";
}

beginSweep();
