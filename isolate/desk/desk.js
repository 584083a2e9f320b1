"use strict";
// What is shown comes from the desk's own server: HTML and drawings that it has escaped, the rest set as text.
const byId = (id) => document.getElementById(id);
const windowKey = Math.random().toString(36).slice(2) + Date.now().toString(36);
let state = {};
let on = new Set();
let pane = null;
let soundsOf = "";
let asking = 0;
let looking = 0;
let trying = false;
let tryAgain = false;

async function send(path, body) {
  const json = { "Content-Type": "application/json" };
  const how = body === undefined ? {} : body instanceof FormData ? { method: "POST", body }
    : { method: "POST", headers: json, body: JSON.stringify(body) };
  let reply;
  try {
    reply = await fetch(path, how);
  } catch {
    throw new Error("The desk has ended; start it again with: isolate desk");
  }
  const told = await reply.json().catch(() => ({}));
  if (!reply.ok) throw new Error((told.faults || ["The desk could not do this."]).join("\n"));
  return told;
}

function say(text, bad = false) {
  byId("said").textContent = text;
  byId("said").className = bad ? "bad" : "quiet";
  if (bad) byId("said").scrollIntoView({ block: "nearest" });
}

function make(tag, attributes = {}, ...inside) {
  const element = document.createElement(tag);
  for (const [name, value] of Object.entries(attributes)) {
    if (name === "checked" || name === "disabled") element[name] = value;
    else if (name.startsWith("on")) element.addEventListener(name.slice(2), value);
    else element.setAttribute(name, value);
  }
  element.append(...inside);
  return element;
}

const guarded = (ask) => async (...given) => {
  try { await ask(...given); } catch (fault) { say(fault.message, true); }
};

// --- the room ---

function show(told) {
  state = told;
  byId("units").value = told.feet ? "feet" : "";
  byId("ask").hidden = told.begun;
  byId("desk").hidden = byId("acts").hidden = !told.begun;
  byId("file").textContent = !told.begun ? "" : told.named
    ? `${told.file}${told.unsaved ? ", changed and not yet saved" : ", saved"}.` : `Not yet saved; will be ${told.file}.`;
  if (!told.begun) return;
  byId("title").textContent = told.title;
  document.title = told.title;
  byId("undo").disabled = !told.undo;
  byId("redo").disabled = !told.redo;
  draw(told.picture);
  byId("answer").innerHTML = told.answer;
  byId("sure").replaceChildren();
  byId("waiting").textContent = "Judging what helps most";
  byId("adds").replaceChildren(...told.adds.map((what) =>
    make("button", { type: "button", onclick: guarded(() => add(what)) }, `+ ${what}`)));
  byId("parts").replaceChildren(...told.parts.map((group) => make("div", {}, make("h3", {}, group.head),
    ...group.parts.map((one) =>
      make("button", { type: "button", onclick: () => open(one.where) }, one.name)))));
  const noise = byId("noise"), chosen = noise.value;
  noise.replaceChildren(...told.noises.map((name) => make("option", { value: name }, name)));
  if (told.noises.includes(chosen) && noise.dataset.chosen) noise.value = chosen;
  else noise.value = told.worst || told.noises[0] || "";
  sliders(told.windows);
  through(told.ways);
  before(told.kept);
  changes(told.changes);
  silence();
  byId("friend").replaceChildren();
  outcome("");
  later(told.version);
  if (on.size || pane) guarded(tryThem)();
}

function draw(picture) {
  byId("picture").innerHTML = picture;
  for (const part of byId("picture").querySelectorAll("[data-where]")) {
    part.addEventListener("click", () => open(part.dataset.where));
    part.addEventListener("keydown", (event) => {
      if (event.key === "Enter" || event.key === " ") { event.preventDefault(); open(part.dataset.where); }
    });
  }
}

async function later(version) {
  const mine = ++looking; // what is shown anew is looked after anew
  let stage = "";
  while (mine === looking) {
    let told;
    try { told = await send("later"); } catch { return; }
    if (told.version !== version || mine !== looking) return;
    if (told.sure) byId("sure").innerHTML = told.sure;
    if (told.answer && stage !== `${told.ranges}`) {
      stage = `${told.ranges}`;
      byId("answer").innerHTML = told.answer;
      const unfolded = [...byId("full").children].map((part) => part.open);
      byId("full").innerHTML = told.full;
      [...byId("full").children].forEach((part, i) => { if (unfolded[i]) part.open = true; });
      byId("cautions").innerHTML = told.cautions;
      const were = on.size;
      changes(told.changes);
      if (on.size < were || byId("tried").querySelector(".bad")) guarded(tryThem)();
    }
    byId("waiting").textContent = told.fault ? told.fault
      : told.waiting ? (told.answer ? "Finding out how sure that is" : "Judging what helps most") : "";
    if (!told.waiting) return;
    await new Promise((go) => setTimeout(go, told.sure ? 500 : 200));
  }
}

// --- changes ---

function changes(list) {
  const known = new Set(list.map((one) => one.name));
  on = new Set([...on].filter((name) => known.has(name) || list.length < 1));
  const held = document.activeElement && document.activeElement.dataset.change;
  byId("changes").replaceChildren(...list.map((one) => {
    const box = make("input", { type: "checkbox", "data-change": one.name, checked: on.has(one.name) });
    box.addEventListener("change", guarded(async () => {
      if (box.checked) { one.excludes.forEach((name) => on.delete(name)); on.add(one.name); } else on.delete(one.name);
      for (const other of byId("changes").querySelectorAll("input")) other.checked = on.has(other.dataset.change);
      await tryThem();
    }));
    return make("label", { class: "change" }, box,
      make("span", {}, one.name),
      make("span", { class: "cost" }, one.price, make("br"), make("span", { class: "small quiet" }, one.mass)),
      make("span", { class: "gain" }, `${one.whose}${one.gain ? ": " + one.gain : ""}`));
  }));
  for (const box of byId("changes").querySelectorAll("input")) if (box.dataset.change === held) box.focus();
}

function sliders(windows) {
  if (!windows.length) { pane = null; byId("pane").replaceChildren(); return; }
  if (pane && !windows.includes(pane.side)) pane = null;
  const which = make("select", { id: "pane-side", "aria-label": "Window" },
    ...windows.map((name) => make("option", { value: name }, name)));
  const slide = make("input", { type: "range", id: "pane-mm", min: 20, max: 400, step: 10,
    value: pane ? Math.round(pane.distance * 1000) : 100 });
  const use = make("input", { type: "checkbox", checked: !!pane });
  if (pane) which.value = pane.side;
  const far = () => state.feet ? `${(Math.round(slide.value / 25.4 * 4) / 4)} in` : `${slide.value} mm`;
  const shown = make("output", { for: "pane-mm" }, far());
  const moved = guarded(async () => {
    shown.textContent = far();
    pane = use.checked ? { side: which.value, distance: slide.value / 1000 } : null;
    await tryThem();
  });
  slide.addEventListener("input", () => { use.checked = true; moved(); });
  use.addEventListener("change", moved);
  which.addEventListener("change", moved);
  byId("pane").replaceChildren(
    make("label", { class: "check" }, use, "A second pane behind the window, at a distance of my own"),
    ...(windows.length > 1 ? [which] : []),
    make("label", { for: "pane-mm", class: "small quiet" }, "Between old and new glass: "), shown, slide);
}

async function tryThem() {
  silence();
  const mine = ++asking;
  byId("tried-waiting").textContent = "";
  if (!on.size && !pane) { outcome(""); draw(state.picture); return; }
  if (trying) { tryAgain = true; return; } // of a slider's many steps, the last
  trying = true;
  try {
    const told = await send("tried", { on: [...on], pane });
    if (mine !== asking) return;
    outcome(told.told);
    draw(told.picture);
    say("");
    sure(mine, told.version).catch(() => {});
  } catch (fault) {
    if (mine !== asking) return;
    outcome("");
    byId("tried").replaceChildren(make("p", { class: "bad" }, fault.message));
  } finally {
    trying = false;
    if (tryAgain) { tryAgain = false; tryThem(); }
  }
}

function outcome(html) { // whole below the switches, its first line always in sight
  byId("tried").innerHTML = html;
  byId("brief").replaceChildren(...[...byId("tried").querySelectorAll("p")].slice(0, 1).map((one) => one.cloneNode(true)));
}

new IntersectionObserver(([seen]) => { byId("brief").hidden = seen.isIntersecting; }).observe(byId("tried"));

async function sure(mine, version) { // ranges and chances of what is tried, unless something else is by then
  byId("tried-waiting").textContent = "Finding out how sure that is";
  const told = await send("sure", { on: [...on], pane });
  if (mine !== asking || told.version !== version) return;
  if (told.told) outcome(told.told);
  byId("tried-waiting").textContent = "";
}

// --- hear it ---

function silence() {
  for (const sound of byId("sounds").querySelectorAll("audio")) sound.pause();
  byId("sounds").replaceChildren();
}

async function hear() {
  silence();
  byId("hear").disabled = true;
  say("Making the sounds …");
  try {
    const told = await send("hear", { on: [...on], pane, noise: byId("noise").value });
    say("");
    const buttons = [];
    const players = told.sounds.map((one) => make("audio", { src: one.uri, loop: "" }));
    told.sounds.forEach((one, i) => {
      const name = one.name + (one.verdict ? `: ${one.verdict}` : "");
      const button = make("button", { type: "button", "aria-pressed": "false" }, name);
      button.addEventListener("click", () => {
        const playing = players.findIndex((player) => !player.paused);
        const moment = playing >= 0 ? players[playing].currentTime : 0;
        players.forEach((player) => player.pause());
        buttons.forEach((other) => other.setAttribute("aria-pressed", "false"));
        if (playing === i) return;
        players[i].currentTime = moment;
        players[i].play();
        button.setAttribute("aria-pressed", "true");
      });
      buttons.push(button);
    });
    byId("sounds").replaceChildren(...buttons, ...players);
  } finally {
    byId("hear").disabled = false;
  }
}

// --- cards ---

let held = null;
let added = null; // the version whose newest part nobody has said "Done" to

const open = guarded(async (where) => {
  const card = await send(`card?where=${encodeURIComponent(where)}`);
  held = card;
  byId("card-title").textContent = card.title;
  byId("card-faults").textContent = "";
  byId("card-section").innerHTML = card.section || "";
  byId("card-section").append(card.section ? card.layers : "");
  byId("card-fields").replaceChildren(...card.fields.map((one, i) => field(one, `f${i}`)));
  byId("card-told").replaceChildren(...card.told.map((text) => make("li", {}, text)));
  byId("card-remove").hidden = !card.removable;
  if (!byId("card").open) byId("card").showModal();
});

function field(one, id) {
  if (one.kind === "yes") {
    const box = make("input", { type: "checkbox", id, checked: one.value === true });
    one.said = () => box.checked;
    return make("div", { class: "field" }, make("label", { class: "check", for: id }, box, one.asked));
  }
  if (one.kind === "several") return several(one, id);
  const hint = one.hint ? [make("p", { class: "small quiet", id: `${id}-h` }, one.hint)] : [];
  if (one.kind === "pick") {
    const known = one.choices.some(([value]) => value === one.value);
    const list = known ? one.choices : [[one.value, one.value || "as in the file"], ...one.choices];
    const select = make("select", { id }, ...list.map(([value, words]) => make("option", { value }, words)));
    select.value = one.value;
    one.said = () => select.value;
    return make("div", { class: "field" }, make("label", { for: id }, one.asked), select, ...hint);
  }
  const input = make("input", { type: "text", id, value: one.value, autocomplete: "off",
    ...(["number", "sockets"].includes(one.kind) ? { inputmode: "decimal" } : {}), ...(hint.length ? { "aria-describedby": `${id}-h` } : {}) });
  one.said = () => input.value;
  const cut = one.choices.some((choice) => choice[3]) ? "chips cut" : "chips";
  const chips = make("div", { class: cut }, ...one.choices.map(([value, words, stands, section]) => {
    const button = make("button", { type: "button", title: stands || "", "aria-pressed": String(value === one.value) }, words);
    if (section) button.insertAdjacentHTML("afterbegin", section);
    button.addEventListener("click", () => {
      input.value = value;
      for (const other of chips.children) other.setAttribute("aria-pressed", String(other === button));
    });
    return button;
  }));
  return make("div", { class: "field" }, make("label", { for: id }, one.asked),
    ...(one.choices.length ? [chips] : []), input, ...hint);
}

function several(one, id) {
  const chosen = Array.isArray(one.value) ? one.value : [one.value];
  const boxes = one.choices.map(([value], i) =>
    make("input", { type: "checkbox", value, id: `${id}-${i}`, checked: chosen.includes(value) }));
  one.said = () => boxes.filter((box) => box.checked).map((box) => box.value);
  return make("fieldset", { class: "field" }, make("legend", {}, one.asked),
    make("div", { class: "chips" }, ...one.choices.map(([, words], i) => make("label", {}, boxes[i], words))));
}

async function kept(event) {
  event.preventDefault();
  const values = {};
  for (const one of held.fields) {
    const said = one.said();
    if (JSON.stringify(said) !== JSON.stringify(one.value)) values[one.key] = said;
  }
  try {
    if (Object.keys(values).length) show(await send("change", { where: held.where.join("/"), values }));
    byId("card").close();
    added = null;
    say("");
  } catch (fault) {
    refused(fault);
  }
}

function refused(fault) { // told at the card's head, wherever on it one is
  byId("card-faults").textContent = fault.message;
  byId("card-faults").scrollIntoView({ block: "nearest" });
}

async function takeAway() {
  try {
    const told = await send("remove", { where: held.where.join("/") });
    byId("card").close();
    show(told);
    say(`${held.title} removed; Undo brings it back.`);
  } catch (fault) {
    refused(fault);
  }
}

async function add(what) {
  const told = await send("add", { what });
  show(told);
  await open(told.added);
  added = told.version;
}

async function cancel() {
  byId("card").close();
  const alone = added === state.version;
  added = null;
  if (alone) show(await send("undo", {}));
}

// --- questions ---

let asked = [];

async function ask() {
  asked = await send("questions");
  byId("question-list").replaceChildren(...asked.map((one, i) => question(one, `q${i}`, i + 1)));
}

function question(one, id, number) {
  const why = make("p", { class: "small quiet" }, one.why);
  if (!one.choices.length) {
    const input = make("input", { type: "text", id, value: one.usual, autocomplete: "off" });
    one.said = () => input.value;
    return make("div", { class: "field" }, make("label", { for: id }, `${number}. ${one.ask}`), why, input);
  }
  const type = one.kind === "choices" ? "checkbox" : "radio";
  const boxes = one.choices.map(([key]) =>
    make("input", { type, name: id, value: key, checked: key === one.usual }));
  const touched = []; // several come in the order in which they were touched
  const own = make("input", { type: "text", id: `${id}-own`, class: "own", autocomplete: "off",
    placeholder: "or in your words", "aria-label": `${one.ask} In your own words` });
  const written = () => own.value.trim() ? [own.value.trim()] : [];
  one.said = () => [...boxes.filter((box) => box.checked).map((box) => box.value)
    .sort((a, b) => touched.indexOf(a) - touched.indexOf(b)), ...written()];
  if (type === "radio") {
    own.addEventListener("input", () => { if (own.value.trim()) boxes.forEach((box) => { box.checked = false; }); });
    boxes.forEach((box) => box.addEventListener("change", () => { own.value = ""; }));
  } else {
    const alone = (k) => !one.choices[k][2]; // "nobody" and the like go with none of the others
    const usual = (k) => one.choices[k][0] === one.usual && !touched.includes(one.usual); // nobody said so
    own.addEventListener("input", () => {
      if (own.value.trim()) boxes.forEach((box, k) => { if (alone(k) || usual(k)) box.checked = false; });
    });
    boxes.forEach((box, i) => box.addEventListener("change", () => {
      if (!touched.includes(box.value)) touched.push(box.value);
      if (!box.checked) return;
      boxes.forEach((other, k) => { if (k !== i && (alone(i) || alone(k) || usual(k))) other.checked = false; });
      if (alone(i)) own.value = "";
    }));
  }
  return make("fieldset", { class: "field" }, make("legend", {}, `${number}. ${one.ask}`), why,
    make("div", { class: "chips" }, ...one.choices.map(([, words], i) => make("label", {}, boxes[i], words)),
      ...(one.own ? [own] : [])));
}

async function begin(event) {
  event.preventDefault();
  const answers = {};
  for (const one of asked) {
    const said = one.said();
    if (said.length) answers[one.key] = said;
  }
  show(await send("begin", { answers }));
  say("");
  byId("answer").focus();
}

// --- the whole ---

async function sheet() {
  byId("sheet-told").innerHTML = (await send("sheet", { on: [...on], pane })).html;
  look(true);
  byId("sheet-told").focus();
}

function look(atSheet) {
  byId("sheet").hidden = !atSheet;
  byId("desk").hidden = byId("acts").hidden = atSheet;
  window.scrollTo(0, 0);
}

async function units() {
  const told = await send("units", { feet: byId("units").value === "feet" });
  if (!told.begun) await ask();
  const wasSheet = !byId("sheet").hidden;
  show(told);
  if (wasSheet) await sheet();
}


async function save() {
  let name = "";
  if (!state.named) {
    name = prompt("Save the room as", state.file);
    if (name === null) return;
    if (!name.endsWith(".toml")) name += ".toml";
  }
  const told = await send("save", { name });
  const now = await send("room");
  state = now;
  byId("file").textContent = `${now.file}, saved.`;
  say(`Saved as ${told.saved} in ${told.folder}`);
}

async function handOn() {
  say("Making the file: a minute or less …");
  const reply = await fetch("handed-on");
  if (!reply.ok) throw new Error("The file could not be made.");
  const link = make("a", { href: URL.createObjectURL(await reply.blob()), download: "room.html" });
  link.click();
  say("The file is among your downloads.");
}

async function whyNot() {
  const told = await send("panels");
  byId("friend").replaceChildren(make("p", {}, told.told || "The judgement is not there yet; a moment."));
  if (told.bars) byId("friend").insertAdjacentHTML("beforeend", told.bars);
}

byId("undo").addEventListener("click", guarded(async () => show(await send("undo", {}))));
byId("redo").addEventListener("click", guarded(async () => show(await send("redo", {}))));
byId("save").addEventListener("click", guarded(save));
byId("hand-on").addEventListener("click", guarded(handOn));
byId("hear").addEventListener("click", guarded(hear));
byId("noise").addEventListener("change", () => { byId("noise").dataset.chosen = "yes"; silence(); });
byId("print").addEventListener("click", guarded(sheet));
byId("sheet-print").addEventListener("click", () => window.print());
byId("sheet-close").addEventListener("click", () => { look(false); byId("print").focus(); });
byId("units").addEventListener("change", guarded(units));
byId("panels").addEventListener("click", guarded(whyNot));
byId("questions").addEventListener("submit", guarded(begin));
byId("card-form").addEventListener("submit", kept);
byId("card-close").addEventListener("click", guarded(cancel));
byId("card").addEventListener("cancel", guarded(async (event) => { event.preventDefault(); await cancel(); }));
byId("card-remove").addEventListener("click", takeAway);
document.addEventListener("keydown", (event) => {
  if (!(event.ctrlKey || event.metaKey) || !state.begun || byId("card").open) return;
  if (event.key === "z" && event.target.tagName !== "INPUT") byId(event.shiftKey ? "redo" : "undo").click();
  else if (event.key === "s") byId("save").click();
  else return;
  event.preventDefault();
});
window.addEventListener("beforeunload", (event) => { if (state.unsaved) event.preventDefault(); });

const alive = guarded(async () => {
  const told = await send("alive", { window: windowKey });
  const other = state.begun !== undefined && told.version !== state.version && !byId("card").open;
  if (other) show(await send("room")); // another window has changed the room
});
alive();
setInterval(alive, 5000);
window.addEventListener("pagehide", () =>
  navigator.sendBeacon("closed", new Blob([JSON.stringify({ window: windowKey })], { type: "application/json" })));
window.addEventListener("pageshow", (event) => { if (event.persisted) alive(); });

guarded(async () => {
  const told = await send("room");
  if (!told.begun) await ask();
  show(told);
})();
