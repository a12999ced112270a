"use strict";
// Plays what happens: cuts the board by the differences of height in the page, no sooner and no deeper than they say.
(() => {
  const page = (name) => document.getElementById(name);
  const data = JSON.parse(page("what-happens").textContent);
  const {grid, board, cutters, marks} = data;
  const [zeroX, zeroY, zeroZ] = board.zero;

  // Whole numbers, seven bits to a byte.
  function packed(text) {
    const bytes = atob(text), found = [];
    let value = 0, unit = 1;
    for (let at = 0; at < bytes.length; at++) {
      const byte = bytes.charCodeAt(at);
      value += (byte & 127) * unit;
      unit *= 128;
      if (byte < 128) { found.push(value); value = 0; unit = 1; }
    }
    return found;
  }
  const signed = (n) => n % 2 ? -(n + 1) / 2 : n / 2;
  function steps(text) {
    let sum = 0;
    return Int32Array.from(packed(text), (n) => sum += signed(n));
  }

  const numbers = steps(data.numbers);
  const frames = Object.fromEntries(
    ["x", "y", "z", "time", "line", "tool", "feed"].map((name) => [name, steps(data.frames[name])]));
  const count = frames.line.length, place = data.frames.place, second = data.frames.second;
  const whole = frames.time[count - 1] * second;

  // Rows of cells, and how many of them fall until the end of each frame.
  const rowCount = Int32Array.from(packed(data.changes.cells)), rowsTop = Int16Array.from(steps(data.changes.level));
  const rowFirst = Int32Array.from(packed(data.changes.first), signed), rowsUntil = new Int32Array(count + 1);
  const rowTop = new Int32Array(rowCount.length + 1);
  rowCount.forEach((cells, row) => { rowTop[row + 1] = rowTop[row] + cells; });
  packed(data.changes.rows).forEach((rows, frame) => {
    rowsUntil[frame + 1] = rowsUntil[frame] + rows;
    for (let row = rowsUntil[frame] + 1; row < rowsUntil[frame + 1]; row++)
      rowFirst[row] += rowFirst[row - 1] + rowCount[row - 1];
  });

  function face(packedFace) {
    const found = new Int16Array(grid.rows * grid.columns), level = steps(packedFace.level);
    let at = 0;
    packed(packedFace.count).forEach((length, row) => { found.fill(level[row], at, at += length); });
    return found;
  }
  const top = face(data.top), bottom = face(data.bottom);
  const lowest = Math.max(bottom.reduce((a, b) => Math.min(a, b), 0),
    rowsTop.reduce((a, b) => Math.min(a, b), top.reduce((a, b) => Math.min(a, b), 0)));

  // The board as it stands before every so many frames: to go back takes no longer than to go on a little.
  const apart = Math.max(Math.ceil(count / 40), 1), kept = [top.slice()];
  let cutUntil = 0;
  function cutTo(frame) {
    const near = Math.min(Math.floor(frame / apart), kept.length - 1);
    const back = frame < cutUntil || near * apart > cutUntil;
    if (back) { top.set(kept[near]); cutUntil = near * apart; }
    const all = back || rowsUntil[frame] - rowsUntil[cutUntil] > 3000;
    while (cutUntil < frame) {
      for (let row = rowsUntil[cutUntil]; row < rowsUntil[cutUntil + 1]; row++) {
        top.set(rowsTop.subarray(rowTop[row], rowTop[row + 1]), rowFirst[row]);
        if (!all) shade(rowFirst[row], rowFirst[row] + rowCount[row]);
      }
      cutUntil++;
      if (cutUntil % apart === 0 && cutUntil / apart === kept.length) kept.push(top.slice());
    }
    if (all) shadeAll();
  }

  // The board as a picture, a pixel a cell: the deeper the darker, hatched where it is open, and what is steeper than
  // 45 degrees as a dark line.
  const picture = document.createElement("canvas");
  picture.width = grid.columns;
  picture.height = grid.rows;
  const ink = picture.getContext("2d"), image = ink.createImageData(grid.columns, grid.rows);
  const pixels = new Uint32Array(image.data.buffer), STEP = Math.max(grid.cell, 0.4) / grid.level;
  const grey = (level) => Math.round(238 - 118 * Math.min(level / Math.min(lowest, -1), 1));
  const shades = Uint32Array.from({length: 2 - lowest}, (_, depth) => 0xff000000 | 0x010101 * grey(-depth));
  function pixel(cell) {
    const row = Math.floor(cell / grid.columns), column = cell - row * grid.columns;
    const level = top[cell], open = level <= bottom[cell];
    let colour = open ? ((row + column) % 7 === 0 ? 0xff808080 : 0xffffffff)
      : shades[Math.min(Math.max(-level, 0), shades.length - 1)];
    const other = (next) => {
      const through = top[next] <= bottom[next];
      return through !== open || (!open && Math.abs(top[next] - level) >= STEP);
    };
    if ((column && other(cell - 1)) || (row && other(cell - grid.columns))) colour = 0xff202020;
    pixels[(grid.rows - 1 - row) * grid.columns + column] = colour;
  }
  let fresh = false;
  function shade(first, end) {
    // What lies above and to the right of them is drawn by its step to them.
    for (let cell = first; cell <= end && cell < top.length; cell++) pixel(cell);
    for (let cell = first + grid.columns; cell < end + grid.columns && cell < top.length; cell++) pixel(cell);
    fresh = false;
  }
  function shadeAll() {
    for (let cell = 0; cell < top.length; cell++) pixel(cell);
    fresh = false;
  }

  const canvas = page("board"), pen = canvas.getContext("2d");
  const MARGIN = {left: 44, right: 12, top: 12, bottom: 26};
  let scale = 1;
  function fit() {
    const wide = canvas.parentElement.clientWidth - MARGIN.left - MARGIN.right;
    const tall = Math.max(window.innerHeight * 0.68, 260) - MARGIN.top - MARGIN.bottom;
    scale = Math.min(wide / board.width, tall / board.height);
    const sharp = Math.min(window.devicePixelRatio || 1, 2);
    const size = [board.width * scale + MARGIN.left + MARGIN.right, board.height * scale + MARGIN.top + MARGIN.bottom];
    canvas.style.width = size[0] + "px";
    canvas.style.height = size[1] + "px";
    [canvas.width, canvas.height] = size.map((side) => Math.round(side * sharp));
    pen.setTransform(sharp, 0, 0, sharp, 0, 0);
    draw();
  }
  const right = (x) => MARGIN.left + x * scale;
  const down = (y) => MARGIN.top + (board.height - y) * scale;
  const short = (value) => String(Math.round(value * 1000) / 1000);

  let tip = [0, 0, 0, 0];
  function draw() {
    if (!fresh) { ink.putImageData(image, 0, 0); fresh = true; }
    pen.clearRect(0, 0, canvas.width, canvas.height);
    pen.imageSmoothingEnabled = grid.cell * scale < 1;
    pen.drawImage(picture, right(grid.left), down(grid.low + grid.rows * grid.cell),
      grid.columns * grid.cell * scale, grid.rows * grid.cell * scale);
    pen.lineWidth = 2;
    pen.strokeStyle = pen.fillStyle = "#000";
    pen.strokeRect(right(0), down(board.height), board.width * scale, board.height * scale);
    measures();
    for (const thing of board.standing) if (thing.line <= line) outline(thing);
    cutter();
  }
  function measures() {
    pen.font = "12px sans-serif";
    pen.textAlign = "center";
    for (const x of [0, board.width]) pen.fillText(short(x - zeroX), right(x) - (x ? 6 : 0), down(0) + 18);
    pen.textAlign = "right";
    for (const y of [0, board.height]) pen.fillText(short(y - zeroY), right(0) - 6, down(y) + (y ? 10 : 0));
    pen.beginPath();
    pen.moveTo(right(zeroX) - 9, down(zeroY));
    pen.lineTo(right(zeroX) + 9, down(zeroY));
    pen.moveTo(right(zeroX), down(zeroY) - 9);
    pen.lineTo(right(zeroX), down(zeroY) + 9);
    pen.stroke();
  }
  function outline(thing) {
    pen.beginPath();
    thing.outline.forEach(([x, y]) => pen.lineTo(right(x), down(y)));
    pen.closePath();
    pen.fillStyle = "#fff";
    pen.fill();
    pen.lineWidth = 1.5;
    pen.stroke();
    if (!thing.screw) return;
    const [xs, ys] = [0, 1].map((axis) => thing.outline.map((point) => point[axis]));
    const x = (Math.min(...xs) + Math.max(...xs)) / 2, y = (Math.min(...ys) + Math.max(...ys)) / 2;
    const arm = 0.3 * (Math.max(...xs) - Math.min(...xs));
    pen.beginPath();
    for (const way of [1, -1]) {
      pen.moveTo(right(x - arm), down(y - way * arm));
      pen.lineTo(right(x + arm), down(y + way * arm));
    }
    pen.stroke();
  }
  function cutter() {
    const [x, y, , tool] = tip, found = cutters[tool];
    if (!found) return;
    const radius = Math.max(found[1] * scale, 5);
    pen.beginPath();
    pen.arc(right(x), down(y), radius, 0, 2 * Math.PI);
    pen.lineWidth = 5;
    pen.strokeStyle = "#fff";
    pen.stroke();
    pen.lineWidth = 2.5;
    pen.strokeStyle = "#000";
    pen.stroke();
    pen.font = "bold 14px sans-serif";
    pen.textAlign = "left";
    pen.lineWidth = 4;
    pen.strokeStyle = "#fff";
    pen.strokeText("T" + tool, right(x) + radius + 4, down(y) - radius);
    pen.fillStyle = "#000";
    pen.fillText("T" + tool, right(x) + radius + 4, down(y) - radius);
  }

  // The first of sorted numbers that is above a value.
  function above(sorted, value) {
    let low = 0, high = sorted.length;
    while (low < high) {
      const middle = (low + high) >> 1;
      if (sorted[middle] > value) high = middle; else low = middle + 1;
    }
    return low;
  }

  // Where it stands: the seconds gone, the line that is run or was run last, and how many frames are done.
  let clock = 0, line = 1, done = 0, running = false;
  const doneBy = (number) => above(frames.line, number);
  const at = (name, frame) => frame < 0 ? frames[name][0] : frames[name][frame];
  function clockText(seconds) {
    const all = Math.round(seconds), hours = Math.floor(all / 3600), minutes = Math.floor(all / 60) % 60;
    return (hours ? hours + " h " : "") + minutes + " min " + String(all % 60).padStart(2, "0") + " s";
  }
  function tell(name, words) {
    const cell = page("now-" + name);
    if (cell.textContent !== words) cell.textContent = words;
  }
  function depthAt(x, y) {
    const column = Math.floor((x - grid.left) / grid.cell), row = Math.floor((y - grid.low) / grid.cell);
    if (!(column >= 0 && column < grid.columns && row >= 0 && row < grid.rows)) return [-1, "beside the board"];
    const cell = row * grid.columns + column;
    if (top[cell] <= bottom[cell]) return [cell, "cut through"];
    return [cell, (-top[cell] * grid.level).toFixed(2) + " mm cut away"];
  }
  function show(share) {
    cutTo(done);
    const a = done - 1, b = Math.min(done, count - 1), between = (name) => at(name, a) + share * (at(name, b) - at(name, a));
    const now = share > 0 ? b : Math.max(a, 0);
    tip = [between("x") * place, between("y") * place, between("z") * place, frames.tool[now]];
    tell("line", line + " of " + data.count);
    tell("time", clockText(clock) + " of " + clockText(whole));
    tell("x", (tip[0] - zeroX).toFixed(2));
    tell("y", (tip[1] - zeroY).toFixed(2));
    tell("z", (tip[2] - zeroZ).toFixed(2));
    tell("feed", frames.feed[now] ? frames.feed[now] + " mm/min" : "rapid");
    const known = cutters[tip[3]];
    tell("cutter", known ? known[0] : tip[3] ? "T" + tip[3] : "none yet");
    tell("wood", depthAt(tip[0], tip[1])[1]);
    page("moment").value = clock;
    page("moment").setAttribute("aria-valuetext", clockText(clock) + ", line " + line);
    showText();
    draw();
  }
  function toClock(seconds) {
    clock = Math.min(Math.max(seconds, 0), whole);
    done = Math.min(above(frames.time, clock / second), count);
    const before = done ? frames.time[done - 1] : 0, length = done < count ? frames.time[done] - before : 0;
    const share = length > 0 ? (clock / second - before) / length : 0;
    line = done < count && share > 0 ? frames.line[done] : done ? frames.line[done - 1] : 1;
    if (clock >= whole) line = data.count;
    show(share);
  }
  function toLine(number) {
    line = Math.min(Math.max(number, 1), data.count);
    done = doneBy(line);
    clock = done ? frames.time[done - 1] * second : 0;
    show(0);
  }

  // It runs until the machine would wait for its operator.
  const waits = marks.filter(([, kind]) => kind === "stop" || kind === "cutter")
    .map(([number, , what]) => ({what, number, clock: at("time", doneBy(number) - 1) * second}))
    .map((wait) => doneBy(wait.number) ? wait : {...wait, clock: 0});
  const still = window.matchMedia("(prefers-reduced-motion: reduce)");
  let last = 0;
  function hold(words) {
    running = false;
    page("run").textContent = "Let it run";
    if (words !== undefined) page("says").textContent = words;
  }
  function run() {
    if (still.matches) return;
    if (running) { hold("Held at line " + line + "."); return; }
    if (clock >= whole) toLine(1);
    running = true;
    last = performance.now();
    page("run").textContent = "Hold it";
    page("says").textContent = "";
    requestAnimationFrame(tick);
  }
  function tick(now) {
    if (!running) return;
    const next = clock + Math.max(now - last, 0) / 1000 * Number(page("rate").value);
    last = now;
    const wait = waits.find((each) => each.clock > clock && each.clock <= next && each.clock > 0);
    if (wait) {
      toClock(wait.clock);
      line = wait.number;
      show(0);
      hold("The machine waits at line " + wait.number + ": " + wait.what);
      return;
    }
    toClock(next);
    if (clock >= whole) hold("The program has ended."); else requestAnimationFrame(tick);
  }
  function byHand(number) {
    hold();
    toLine(number);
    const row = above(numbers, line) - 1;
    page("says").textContent = "Line " + line + ": " + (numbers[row] === line ? data.lines[row] : "not listed");
  }

  // A place: the line that cuts there first, then the next one that does.
  let lastCell = -1, lastLine = 0;
  function toPlace(x, y) {
    hold();
    const [cell, depth] = depthAt(x, y), tenth = (value) => short(Math.round(value * 10) / 10);
    const name = "X" + tenth(x - zeroX) + " Y" + tenth(y - zeroY);
    if (cell !== lastCell) [lastCell, lastLine] = [cell, 0];
    let row = rowsUntil[doneBy(lastLine)];
    while (row < rowCount.length && !(rowFirst[row] <= cell && cell < rowFirst[row] + rowCount[row])) row++;
    if (cell < 0 || row === rowCount.length) {
      const none = cell < 0 ? "" : lastLine ? "No later line cuts at " : "Nothing is cut at ";
      page("says").textContent = none + name + ": " + depth + ".";
      lastLine = 0;
      return;
    }
    done = above(rowsUntil, row);
    line = lastLine = frames.line[done - 1];
    clock = frames.time[done - 1] * second;
    show(0);
    page("says").textContent = name + " is cut by line " + line + ": " + depthAt(x, y)[1] + ".";
  }

  // The text: only the rows that are in view are in the page.
  const TALL = 22, list = page("text"), rows = page("rows");
  rows.style.height = numbers.length * TALL + "px";
  let from = -1, until = -1, marked = -1;
  function showText() {
    const row = Math.max(above(numbers, line) - 1, 0);
    if (row !== marked && (row * TALL < list.scrollTop + TALL || (row + 2) * TALL > list.scrollTop + list.clientHeight))
      list.scrollTop = Math.max((row + 0.5) * TALL - list.clientHeight / 2, 0);
    fillText(row);
  }
  function fillText(row) {
    const first = Math.max(Math.floor(list.scrollTop / TALL) - 4, 0);
    const end = Math.min(first + Math.ceil(list.clientHeight / TALL) + 9, numbers.length);
    if (first !== from || end !== until) {
      rows.replaceChildren(...Array.from({length: end - first}, (_, nth) => textRow(first + nth)));
      [from, until] = [first, end];
    } else if (row === marked) return;
    marked = row;
    for (const each of rows.children) each.setAttribute("aria-selected", String(each.id === "row-" + row));
    if (page("row-" + row)) list.setAttribute("aria-activedescendant", "row-" + row);
  }
  function textRow(row) {
    const made = document.createElement("div");
    made.id = "row-" + row;
    made.setAttribute("role", "option");
    made.style.top = row * TALL + "px";
    made.textContent = String(numbers[row]).padStart(String(data.count).length) + "  " + data.lines[row];
    made.addEventListener("click", () => byHand(numbers[row]));
    return made;
  }

  function listMarks() {
    for (const [number, kind, what] of marks) {
      const row = page("marks").insertRow(), go = document.createElement("button");
      go.type = "button";
      go.textContent = String(number);
      go.setAttribute("aria-label", "Go to line " + number + ", " + kind);
      go.addEventListener("click", () => byHand(number));
      row.insertCell().append(number ? go : "all");
      row.insertCell().textContent = number ? clockText(Math.max(at("time", doneBy(number) - 1), 0) * second) : "";
      row.insertCell().textContent = kind + ": " + what;
    }
  }
  function listDepths() {
    for (let nth = 0; nth < 6; nth++) {
      const level = Math.round(lowest * nth / 5), box = document.createElement("span");
      const shown = grey(level);
      box.style.background = "rgb(" + shown + "," + shown + "," + shown + ")";
      box.textContent = short(Math.round(-level * grid.level * 10) / 10);
      page("scale").append(box);
    }
    page("scale").append(" hatched: cut through");
  }
  function toMark(way) {
    const lines = [...new Set(marks.map(([number]) => number).filter((number) => number))].sort((a, b) => a - b);
    const next = way > 0 ? lines.find((each) => each > line) : lines.reverse().find((each) => each < line);
    if (next !== undefined) byHand(next);
  }
  function rateBy(way) {
    const rate = page("rate");
    rate.selectedIndex = Math.min(Math.max(rate.selectedIndex + way, 0), rate.length - 1);
    page("says").textContent = rate.value + " times as fast as the machine.";
  }
  function stepBy(way) {
    // Lines that are not listed are stepped over where the page holds but some.
    const row = above(numbers, line) - 1 + way, whole = numbers.length === data.count;
    byHand(whole ? line + way : numbers[Math.min(Math.max(row, 0), numbers.length - 1)]);
  }

  const KEYS = {
    " ": run, ArrowLeft: () => stepBy(-1), ArrowRight: () => stepBy(1), PageUp: () => toMark(-1),
    PageDown: () => toMark(1), Home: () => byHand(1), End: () => byHand(data.count), "+": () => rateBy(1),
    "-": () => rateBy(-1),
  };
  document.addEventListener("keydown", (event) => {
    const own = event.target.closest("input, select, textarea");
    const pressed = event.key === " " && event.target.closest("button");
    const inList = event.target === list && {ArrowUp: KEYS.ArrowLeft, ArrowDown: KEYS.ArrowRight}[event.key];
    const does = inList || KEYS[event.key];
    if (own || pressed || !does || event.ctrlKey || event.altKey || event.metaKey) return;
    event.preventDefault();
    does();
  });
  page("run").addEventListener("click", run);
  page("back").addEventListener("click", KEYS.ArrowLeft);
  page("on").addEventListener("click", KEYS.ArrowRight);
  page("first").addEventListener("click", KEYS.Home);
  page("last").addEventListener("click", KEYS.End);
  page("moment").max = whole;
  page("moment").addEventListener("input", (event) => { hold(""); toClock(Number(event.target.value)); });
  page("place").addEventListener("submit", (event) => {
    event.preventDefault();
    toPlace(Number(page("place-x").value) + zeroX, Number(page("place-y").value) + zeroY);
  });
  canvas.addEventListener("click", (event) => {
    const box = canvas.getBoundingClientRect();
    toPlace((event.clientX - box.left - MARGIN.left) / scale,
      board.height - (event.clientY - box.top - MARGIN.top) / scale);
  });
  list.addEventListener("scroll", () => fillText(Math.max(above(numbers, line) - 1, 0)));
  window.addEventListener("resize", fit);
  function motionWanted() {
    page("run").disabled = still.matches;
    if (still.matches) hold("Your system wants little motion, so nothing runs by itself: step by line.");
  }
  still.addEventListener("change", motionWanted);
  motionWanted();

  listMarks();
  listDepths();
  shadeAll();
  toLine(1);
  fit();
})();
