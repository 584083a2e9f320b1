// Recordings dropped in: which is which, what they went through, measured, kept for after a change, folded in.

const takes = []; // recordings with the role of each

function role(name) {
  const said = [["background", /back|bg|silen|without|off/i], ["decay", /decay|clap|balloon|burst/i],
    ["loud", /loud|outs?i?d?e?\b|street|source/i], ["quiet", /quiet|\bin\b|inside|here/i]];
  const found = said.find(([, words]) => words.test(name.replace(/[_-]/g, " ")));
  const free = Object.keys(state.roles).find((one) => !takes.some((take) => take.role === one));
  return found ? found[0] : free || "quiet";
}

function taken(files) {
  for (const file of files) takes.push({ file, role: role(file.name) });
  byId("takes").replaceChildren(...takes.map((take) => {
    const which = make("select", { "aria-label": `What ${take.file.name} is` },
      ...Object.entries(state.roles).map(([key, words]) => make("option", { value: key }, `${key}: ${words}`)));
    which.value = take.role;
    which.addEventListener("change", () => { take.role = which.value; });
    const away = make("button", { type: "button", "aria-label": `Leave out ${take.file.name}` }, "Leave out");
    away.addEventListener("click", () => { takes.splice(takes.indexOf(take), 1); taken([]); });
    return make("li", {}, make("span", {}, take.file.name), which, away);
  }));
}

function through(ways) {
  const way = byId("way"), chosen = way.value;
  way.replaceChildren(...ways.map((one) => make("option", { value: one.key }, one.words)));
  if (ways.some((one) => one.key === chosen)) way.value = chosen; else outdoors();
}

function before(kept) { // what may be held against
  const against = byId("against"), chosen = against.value;
  against.replaceChildren(make("option", { value: "" }, "nothing"),
    ...kept.map((name) => make("option", { value: name }, name.replace(/\.json$/, ""))));
  if (kept.includes(chosen)) against.value = chosen;
  byId("against-row").hidden = !kept.length;
}

function outdoors() {
  byId("facade").checked = state.ways.some((one) => one.key === byId("way").value && one.outdoors);
}

async function measure() {
  if (takes.reduce((sum, take) => sum + take.file.size, 0) > state.most) {
    throw new Error(`The recordings are too large: at most ${Math.round(state.most / 1e6)} MB together.`);
  }
  const form = new FormData();
  form.set("through", byId("way").value);
  form.set("facade", byId("facade").checked ? "yes" : "");
  form.set("against", byId("against").value);
  for (const take of takes) form.append(take.role, take.file);
  byId("measure").disabled = true;
  byId("fold").hidden = byId("keep").hidden = true;
  byId("measured").textContent = "Measuring …";
  try {
    const told = await send("measure", form);
    const more = (name, html) => {
      const inside = make("details", {}, make("summary", {}, name));
      inside.insertAdjacentHTML("beforeend", html);
      return html ? [inside] : [];
    };
    byId("measured").innerHTML = told.told;
    byId("measured").append(...more("All of the measurement", told.full));
    byId("fold").hidden = !told.folds;
    byId("keep").hidden = false;
  } catch (fault) {
    byId("measured").replaceChildren(make("p", { class: "bad" }, fault.message));
  } finally {
    byId("measure").disabled = false;
  }
}

async function keep() {
  const told = await send("keep", {});
  before(told.kept);
  byId("against").value = told.name;
  byId("keep").hidden = true;
  say(`Kept beside the room as ${told.name}. After the change, drop the new recordings in and measure against it.`);
}

async function fold() {
  show(await send("fold", {}));
  byId("fold").hidden = true;
  say("The room is now as it was measured; Undo takes it out again.");
}

for (const [name, over] of [["dragover", true], ["dragleave", false], ["drop", false]]) {
  byId("drop").addEventListener(name, (event) => {
    event.preventDefault();
    byId("drop").classList.toggle("over", over);
    if (name === "drop") taken(event.dataTransfer.files);
  });
}
for (const name of ["dragover", "drop"]) window.addEventListener(name, (event) => event.preventDefault()); // beside it
byId("files").addEventListener("change", () => { taken(byId("files").files); byId("files").value = ""; });
byId("way").addEventListener("change", outdoors);
byId("measure").addEventListener("click", guarded(measure));
byId("keep").addEventListener("click", guarded(keep));
byId("fold").addEventListener("click", guarded(fold));
