"use strict";
(() => {
  const $ = (id) => document.getElementById(id);
  const data = JSON.parse($("data").textContent);
  document.documentElement.classList.add("js");

  // --- sounds: one at a time; another of the same group goes on from the same moment ---
  let playing = null;

  const buttons = [...document.querySelectorAll("button[data-sound]")];

  function tell() {
    for (const one of buttons) {
      one.setAttribute("aria-pressed", String(Boolean(playing) && playing.audio.id === one.dataset.sound));
    }
    $("switch").hidden = !playing || playing.group !== "room";
  }

  function stop() {
    if (playing) playing.audio.pause();
    playing = null;
    tell();
  }

  function play(button) {
    const audio = $(button.dataset.sound);
    if (playing && playing.audio === audio) {
      stop();
      return;
    }
    const at = playing && playing.group === button.dataset.group ? playing.audio.currentTime : 0;
    stop();
    audio.currentTime = Math.min(at, audio.duration || at);
    playing = { audio, group: button.dataset.group };
    tell();
    audio.play().catch(() => {
      if (playing && playing.audio === audio) stop();
    });
  }

  for (const button of buttons) button.addEventListener("click", () => play(button));
  document.addEventListener("visibilitychange", () => {
    if (document.hidden) stop();
  });

  // --- sliders over values computed beforehand ---
  const chart = data.chart;
  const noise = $("noise"), gap = $("gap"), count = $("count");

  function line(levels) {
    return "M" + levels.map((level, band) => {
      const held = Math.min(Math.max(level, chart.low), chart.high);
      const x = chart.left + (chart.right - chart.left) * (band + 0.5) / chart.bands;
      const y = chart.bottom - (chart.bottom - chart.top) * (held - chart.low) / (chart.high - chart.low);
      return x.toFixed(1) + " " + y.toFixed(1);
    }).join("L");
  }

  function show() {
    const n = noise ? Number(noise.value) : 0;
    const g = gap ? Number(gap.value) : 0;
    const c = Number(count.value);
    const tried = data.inside_db[g][n].map((level, band) => level - data.drop_db[c][band]);
    const verdict = data.verdict[g][c][n];
    $("tried-dba").textContent = data.shown_dba[g][c][n];
    $("tried-you").textContent = data.you[verdict];
    $("tried-you").className = "verdict v-" + data.slugs[verdict];
    $("tried-gain").textContent = data.said[g][c][n];
    $("tried-what").textContent = data.noises[n] + ": " + data.layer_words[g] + data.count_words[c];
    $("count-said").textContent = String(data.counts[c]);
    count.setAttribute("aria-valuetext", data.count_words[c]);
    if (gap) {
      $("gap-said").textContent = data.gap_words[g];
      gap.setAttribute("aria-valuetext", data.gap_words[g]);
    }
    const last = chart.bands - 1;
    const x = (band) => (chart.left + (chart.right - chart.left) * (band + 0.5) / chart.bands).toFixed(1);
    const base = "L" + x(last) + " " + chart.bottom + "L" + x(0) + " " + chart.bottom + "Z";
    $("c-outside").setAttribute("d", line(data.outside_db[n]));
    $("c-now").setAttribute("d", line(data.inside_db[0][n]));
    $("c-tried").setAttribute("d", line(tried));
    $("c-heard").setAttribute("d", line(tried) + base);
    $("curve-t").textContent = data.noises[n] + " by frequency";
  }

  for (const one of [noise, gap, count]) {
    if (one) one.addEventListener("input", show);
  }
  show();

  // --- on paper everything is open ---
  addEventListener("beforeprint", () => {
    for (const one of document.querySelectorAll("details")) one.open = true;
  });
})();
