// On every page: the reader of codes, the held confirmation, live regions, the queue of what is not yet sent.

import "./every/htmx";
import "./every/closed";
import { root } from "./base/page";
import * as held from "./every/held";
import * as live from "./every/live";
import * as reader from "./every/reader";
import * as scan from "./every/scan";
import * as secure from "./every/secure";
import * as worker from "./every/worker";
import * as form from "./queue/form";
import * as queue from "./queue/queue";
import * as shown from "./queue/shown";

scan.wire();
reader.release();
reader.wire();
held.wire();
secure.wire();
form.wire();
shown.wire();
live.onBack(() => void queue.sendNow());
live.wire();
queue.start();
root.setAttribute("data-scripted", "");
void worker.wire();
