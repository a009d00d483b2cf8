// Figures measured on the boat, weighed by the program's own rule; every number of the rule is handed over by it.
// Matrices are rows of numbers; N strakes, p marks. Lengths are in mm, + toward the sheer.

// An array of what a function gives for 0, 1 … count - 1.
function listOf(count, give) {
  const all = [];
  for (let i = 0; i < count; i++) all.push(give(i));
  return all;
}

// A square matrix of what a function gives for its rows and columns.
const squareOf = (count, give) => listOf(count, (i) => listOf(count, (j) => give(i, j)));

// The rows and columns of a matrix that are chosen.
const chosen = (matrix, kept) => kept.map((i) => kept.map((j) => matrix[i][j]));

// The lower triangle L of a symmetric positive definite matrix, L Lᵀ (Cholesky).
function triangle(matrix) {
  const low = matrix.map((row) => row.map(() => 0));
  for (let i = 0; i < matrix.length; i++) {
    for (let j = 0; j <= i; j++) {
      const row = low[i], other = low[j];
      let rest = matrix[i][j];
      for (let k = 0; k < j; k++) rest -= row[k] * other[k];
      row[j] = i === j ? Math.sqrt(rest) : rest / other[j];
    }
  }
  return low;
}

// x of L Lᵀ x = b.
function solved(low, b) {
  const x = b.slice(), count = b.length;
  for (let i = 0; i < count; i++) {
    const row = low[i];
    for (let k = 0; k < i; k++) x[i] -= row[k] * x[k];
    x[i] /= row[i];
  }
  for (let i = count - 1; i >= 0; i--) {
    for (let k = i + 1; k < count; k++) x[i] -= low[k][i] * x[k];
    x[i] /= low[i][i];
  }
  return x;
}

// The inverse of a symmetric positive definite matrix.
function inverse(matrix) {
  const low = triangle(matrix);
  return listOf(matrix.length, (i) => solved(low, listOf(matrix.length, (j) => (i === j ? 1 : 0))));
}

// The sum of the products of two rows.
function dot(a, b) {
  let sum = 0;
  for (let i = 0; i < a.length; i++) sum += a[i] * b[i];
  return sum;
}

// From the least to the greatest of a row.
const spanOf = (s) => Math.max(...s) - Math.min(...s);

class Weighing {
  // The numbers of the rules; where the marks lie along each edge, (N, p); and the rows by which an edge half-way
  // between two marks is found from those at all marks, (N, p - 1, p).
  constructor(rules, along, halves) {
    Object.assign(this, { rules, along, halves, marks: along[0].length, runs: new WeakMap() });
    this.shares = this.sharesOfWhatIsOff();
  }

  // By which matrix what the edge below is off moves each land, once all above it are lined off again.
  sharesOfWhatIsOff() {
    const shares = [];
    let above = null;
    for (let row = this.along.length - 2; row >= 0; row--) {
      const stiff = squareOf(this.marks, (i, j) => (i === j ? 2 : 0) - (above ? above[i][j] : 0));
      for (const { at, bend } of this.bends(this.along[row])) {
        for (let i = 0; i < 3; i++) for (let j = 0; j < 3; j++) stiff[at + i][at + j] += bend[i] * bend[j];
      }
      above = inverse(stiff);
      shares[row] = above;
    }
    return shares;
  }

  // Rows that say what bend is put into a land at each place but its ends: h² d'', h the mean distance of places.
  bends(s) {
    const mean = (s.at(-1) - s[0]) / (s.length - 1);
    return listOf(Math.max(s.length - 2, 0), (at) => {
      const before = s[at + 1] - s[at], after = s[at + 2] - s[at + 1], weight = (2 * mean ** 2) / (before + after);
      return { at, bend: [weight / before, weight * (-1 / before - 1 / after), weight / after] };
    });
  }

  // Where the edge of strake k, from 0, is meant to come when the one below is off so much: at the marks, then at the
  // half-ways `between`. `lands` is how far the drawn lands lie above the marks of moulds out of place, (N, p).
  meant(k, below, { lands, between }) {
    let own = lands[k];
    if (k > 0 && k < this.along.length - 1) {
      const off = lands[k - 1].map((land, i) => below[i] - land);
      own = this.shares[k].map((row, i) => dot(row, off) + lands[k][i]);
    }
    return [...own, ...between.map((i) => dot(this.halves[k][i], own))];
  }

  // The covariance of a smooth run along the places s.
  smooth(s) {
    if (!this.runs.has(s)) {
      const { run, reach } = this.rules.weighing, size = reach * spanOf(s);
      this.runs.set(s, squareOf(s.length, (i, j) => run ** 2 * Math.exp(-0.5 * ((s[i] - s[j]) / size) ** 2)));
    }
    return this.runs.get(s);
  }

  // The covariance of what an edge is off by when it is hung; level and run may have more than their usual variance.
  hanging(s, more = 1) {
    const { level, mark } = this.rules.weighing, smooth = this.smooth(s);
    return squareOf(s.length, (i, j) => more * (level ** 2 + smooth[i][j]) + (i === j ? mark ** 2 : 0));
  }

  // The covariance of an edge of any level and lean.
  anywhere(s) {
    const { any_level, any_lean, mark } = this.rules.weighing, smooth = this.smooth(s);
    const middle = s.reduce((sum, one) => sum + one, 0) / s.length;
    const at = s.map((one) => (one - middle) / spanOf(s));
    return squareOf(s.length, (i, j) =>
      any_level ** 2 + any_lean ** 2 * at[i] * at[j] + smooth[i][j] + (i === j ? mark ** 2 : 0));
  }

  // The figures of one land that the others contradict, the worst first.
  outliers(off, covariance, given) {
    const { bar, spreads, fewest } = this.rules.slips, found = [];
    let kept = given.slice();
    while (kept.length >= fewest) {
      const inverted = inverse(chosen(covariance, kept)), measured = kept.map((place) => off[place]);
      const miss = inverted.map((row, i) => dot(row, measured) / inverted[i][i]);
      const score = miss.map((one, i) => (Math.abs(one) >= bar ? Math.abs(one) * Math.sqrt(inverted[i][i]) : 0));
      const worst = score.indexOf(Math.max(...score));
      if (score[worst] < spreads) break;
      found.push({ place: kept[worst], miss: miss[worst], isAlone: this.isAlone(kept, worst) });
      kept = kept.filter((_, i) => i !== worst);
    }
    return found;
  }

  // Whether a figure is the first or the last of its land with the place next to it missing.
  isAlone(kept, at) {
    return (at === 0 && kept[1] > kept[0] + 1) || (at === kept.length - 1 && kept.at(-2) < kept.at(-1) - 1);
  }

  // The figures of strake k that look odd, against an edge of any level and lean; half-ways without a figure do not count.
  odd(readings, k, s, off) {
    const given = readings.isGiven[k], every = listOf(s.length, (i) => i).sort((i, j) => s[i] - s[j]);
    const order = every.filter((i) => i < this.marks || given[i]);
    const covariance = this.withNoise(this.anywhere(order.map((i) => s[i])), readings.noise);
    const found = this.outliers(order.map((i) => off[i]), covariance, listOf(order.length, (i) => i).filter((i) => given[order[i]]));
    return found.map((one) => ({ ...one, place: order[one.place] }));
  }

  // A covariance with what reading adds to each figure.
  withNoise(covariance, noise) {
    return covariance.map((row, i) => row.map((one, j) => one + (i === j ? noise ** 2 : 0)));
  }

  // Where the hung edges are, where they were meant to come, and which figures look like slips. `readings`: figures,
  // isGiven, isSure of (N, p and the half-ways), between (which half-ways these are, from 0 at the fore end), lands
  // (see `meant`), noise (the spread of an honest figure), hung and remade (how many strakes, and which numbers).
  weighed(readings) {
    const firm = readings.isSure.map((row, k) => row.map((one, i) => one && readings.isGiven[k][i]));
    const runs = this.along.map((s) => [...s, ...readings.between.map((i) => (s[i] + s[i + 1]) / 2)]);
    for (;;) {
      const { result, found } = this.once(readings, runs, firm);
      const shared = [];
      found.forEach((odd, k) => odd.forEach((one) => {
        if (!firm[k][one.place] && this.isShared(found, k, one)) shared.push([k, one.place]);
      }));
      if (!shared.length) return result;
      for (const [k, place] of shared) firm[k][place] = true;
    }
  }

  // The hung edges with some figures followed as they are; and what looks odd of the others.
  once(readings, runs, firm) {
    const result = { moved: [], meant: [], covariances: [], isUsed: readings.isGiven.map((row) => row.slice()), slips: [] };
    const found = [], places = listOf(runs[0].length, (i) => i);
    let unknown = squareOf(places.length, () => 0);
    for (let k = 0; k < readings.hung; k++) {
      const s = runs[k], wanted = this.meant(k, k ? result.moved[k - 1] : [], readings);
      const off = readings.figures[k].map((figure, i) => figure - wanted[i]), odd = this.odd(readings, k, s, off);
      for (const one of odd) if (!one.isAlone && !firm[k][one.place]) result.isUsed[k][one.place] = false;
      const hanging = this.hanging(s), before = unknown;
      result.covariances.push(this.withNoise(squareOf(s.length, (i, j) => before[i][j] + hanging[i][j]), readings.noise));
      const edge = { s, off, noise: firm[k].map((one) => (one ? this.rules.weighing.close : readings.noise)) };
      const used = places.filter((i) => result.isUsed[k][i]);
      const known = this.before(unknown, edge, used.filter((i) => !firm[k][i]));
      for (const i of places) if (firm[k][i]) known[i][i] += this.rules.weighing.firm ** 2;
      const update = this.updated(known, edge, used);
      result.meant.push(wanted);
      result.moved.push(wanted.map((one, i) => one + update.moved[i]));
      unknown = update.unknown;
      found.push(odd);
      for (const one of odd) result.slips.push(this.slip(readings, k, one, firm));
    }
    return { result, found };
  }

  // The covariance of where an edge is before it is measured: as usual, or more where its figures say so.
  before(unknown, edge, used) {
    let best = null, least = Infinity;
    for (const more of this.rules.weighing.more) {
      const hanging = this.hanging(edge.s, more);
      const whole = squareOf(edge.s.length, (i, j) => unknown[i][j] + hanging[i][j]);
      const low = triangle(used.map((i) => used.map((j) => whole[i][j] + (i === j ? edge.noise[i] ** 2 : 0))));
      const off = used.map((i) => edge.off[i]);
      const spread = low.reduce((sum, row, i) => sum + 2 * Math.log(row[i]), 0);
      const unlikely = dot(off, solved(low, off)) + spread + 2 * Math.log(more);
      if (unlikely < least) [least, best] = [unlikely, whole];
    }
    return best;
  }

  // How far an edge is from where it was meant to come once it is measured, and what is still not known of it.
  updated(before, edge, used) {
    const low = triangle(used.map((i) => used.map((j) => before[i][j] + (i === j ? edge.noise[i] ** 2 : 0))));
    const gains = before.map((row) => solved(low, used.map((j) => row[j])));
    const off = used.map((i) => edge.off[i]), columns = before.map((row) => used.map((one) => row[one]));
    return {
      moved: gains.map((gain) => dot(gain, off)),
      unknown: squareOf(before.length, (i, j) => before[i][j] - dot(gains[i], columns[j])),
    };
  }

  // A figure that looks like a slip, with what is made of it.
  slip(readings, k, one, firm) {
    const value = readings.figures[k][one.place], isSure = readings.isSure[k][one.place];
    const isShared = firm[k][one.place] && !isSure;
    return { strake: k + 1, place: one.place, value, expected: value - one.miss, isShared, isAlone: one.isAlone, isSure };
  }

  // Whether a strake next to it is off in the same way there, half as far or more.
  isShared(found, k, one) {
    const next = [...(found[k - 1] || []), ...(found[k + 1] || [])];
    return next.some((other) => other.place === one.place && other.miss / one.miss >= this.rules.weighing.shared);
  }

  // What is likely wrong with the figures of a strake, or of all (strake 0): signs, shifted marks, or far off.
  mistakes(readings, weighed) {
    const evidence = new Evidence(this.rules.mistaken, readings, weighed), hung = listOf(readings.hung, (k) => k);
    const later = hung.slice(1), sum = (all) => all.reduce((total, one) => total + one, 0);
    const drawn = sum(later.map((k) => evidence.gain(k, evidence.below(k))));
    const found = [
      ["signs", 0, sum(later.map((k) => evidence.gain(k, evidence.mixed(2, evidence.below(k), -1, evidence.meant(k)))))],
      ["shifted marks", 0, sum(later.map((k) => evidence.gain(k, evidence.meant(k - 1))))],
      ...hung.flatMap((k) => evidence.ofStrake(k)),
    ];
    const likeliest = found.reduce((best, one) => (one[2] > best[2] ? one : best));
    if (likeliest[2] >= this.rules.mistaken.sure + Math.max(drawn, 0)) {
      const off = evidence.meanOff(Math.max(likeliest[1] - 1, 0));
      return [{ what: likeliest[0], strake: likeliest[1], off, orStrake: this.asLikely(found, likeliest) }];
    }
    return later
      .filter((k) => evidence.isFar(k, evidence.meant(k)) && evidence.isFar(k, evidence.below(k)))
      .map((k) => ({ what: "far", strake: k + 1, off: evidence.meanOff(k), orStrake: 0 }));
  }

  // The other strake of which the same mistake is nearly as likely; 0 if none, or if all strakes have it.
  asLikely(found, [what, strake, gain]) {
    if (!strake) return 0;
    const others = found.filter(([same, one]) => same === what && one !== 0 && one !== strake);
    const rival = others.reduce((best, one) => (one[2] > best[2] ? one : best), [what, 0, -Infinity]);
    return gain - rival[2] < this.rules.mistaken.close ? rival[1] : 0;
  }

  // What figures are rounded to, mm: the coarsest division of a rule of which nearly all are multiples.
  stepOf(lengths, units) {
    const { steps, whole, finer } = this.rules.rounding, known = steps[units === "mm" ? "mm" : "in"];
    const isFiner = (length, step) => Math.abs(length / step - Math.round(length / step)) >= whole;
    const fits = (step) => lengths.filter((length) => isFiner(length, step)).length <= finer * lengths.length;
    return known.find(fits) ?? known.at(-1);
  }

  // The spread of an honest figure rounded to a step, mm.
  spreadOf(step) {
    return Math.sqrt(this.rules.rounding.reading ** 2 + step ** 2 / 12);
  }
}

// What was measured against where strakes were meant to come; k counts strakes from 0.
class Evidence {
  // Keeps the numbers of the rule, what was measured and how it was weighed.
  constructor(numbers, readings, weighed) {
    Object.assign(this, { numbers, readings, weighed });
  }

  // Where an edge was meant to come.
  meant(k) {
    return this.weighed.meant[k];
  }

  // Where the edge below was taken to be.
  below(k) {
    return this.weighed.moved[k - 1];
  }

  // a times one row and b times another.
  mixed(a, one, b, other) {
    return one.map((value, i) => a * value + b * other[i]);
  }

  // The gains of one strake with its signs exchanged, and measured from its shifted marks, with what follows of it.
  ofStrake(k) {
    const meant = this.meant(k);
    let signs = this.gain(k, meant.map((one) => -one)), shifted = this.gain(k, meant.map(() => 0));
    if (k < this.readings.hung - 1) {
      signs += this.gain(k + 1, this.mixed(1, this.meant(k + 1), -2, this.below(k + 1)));
      shifted += this.gain(k + 1, this.mixed(1, this.meant(k + 1), 1, meant));
    }
    return [["signs", k + 1, signs], ["shifted marks", k + 1, shifted]];
  }

  // Whether strake k was cut for an edge that is no longer there: the strake below it was taken off and hung again.
  isAboveRemade(k) {
    return this.readings.remade.includes(k);
  }

  // Twice the logarithm by which figures are likelier where they were to be `expected` than as meant.
  gain(k, expected) {
    if (this.isAboveRemade(k)) return 0;
    return this.unlikely(k, this.meant(k)) - this.unlikely(k, expected);
  }

  // By Student's distribution, so that one land that nothing explains does not outweigh the others.
  unlikely(k, expected) {
    return (this.numbers.free + this.used(k).length) * Math.log1p(this.misfit(k, expected) / this.numbers.free);
  }

  // The places of a strake whose figures are used.
  used(k) {
    return this.weighed.isUsed[k].flatMap((one, i) => (one ? [i] : []));
  }

  // The sum of squares of what figures miss by, in their spreads.
  misfit(k, expected) {
    const used = this.used(k), off = used.map((i) => this.readings.figures[k][i] - expected[i]);
    return dot(off, solved(triangle(chosen(this.weighed.covariances[k], used)), off));
  }

  // How far figures are from where the edge was meant to come, the mean along it.
  meanOff(k) {
    const used = this.used(k), meant = this.meant(k);
    return used.reduce((sum, i) => sum + this.readings.figures[k][i] - meant[i], 0) / Math.max(used.length, 1);
  }

  // Whether an edge is farther off than planks usually come.
  isFar(k, expected) {
    return !this.isAboveRemade(k) && this.misfit(k, expected) > this.numbers.much * this.used(k).length;
  }
}
