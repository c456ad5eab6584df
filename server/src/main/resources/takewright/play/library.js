// The key map of the library, as the build wrote it: which sample answers a key.
'use strict';

/** One articulation: its layers, and in each the samples by key. */
class Articulation {
  constructor(name, layers, columns) {
    this.name = name;
    this.layers = layers.map((layer) => ({
      name: layer.name, isRecorded: layer.recorded,
      zones: layer.zones.map((cells) => ({ articulation: name, layer: layer.name, ...Object.fromEntries(columns.map((column, i) => [column, cells[i]])) })),
    }));
    for (const layer of this.layers) {
      layer.byKey = Array.from({ length: 128 }, () => []);
      for (const zone of layer.zones) for (let key = zone.lowKey; key <= zone.highKey; key++) layer.byKey[key].push(zone);
    }
    const zones = this.layers.flatMap((layer) => layer.zones);
    this.lowKey = Math.min(...zones.map((zone) => zone.lowKey));
    this.highKey = Math.max(...zones.map((zone) => zone.highKey));
    this.roots = [...new Set(zones.map((zone) => zone.root))].sort((a, b) => a - b);
  }

  static answering(layer, key, velocity) {
    return layer.byKey[key].filter((zone) => velocity >= zone.lowVelocity && velocity <= zone.highVelocity).sort((a, b) => a.rr - b.rr);
  }

  /** The dynamics of a key from soft to loud, each with the velocities that play it. */
  dynamics(key) {
    const zones = (this.layers.find((layer) => layer.byKey[key]?.length) ?? { byKey: [] }).byKey[key] ?? [];
    return zones.filter((zone) => zone.rr === 1).sort((a, b) => a.lowVelocity - b.lowVelocity)
      .map((zone) => ({ name: zone.dynamic, low: zone.lowVelocity, high: zone.highVelocity }));
  }

  /** A layer's fader in dB: until it is moved, the first layer is up and the others are off. */
  faderOf(layer, faders) {
    return faders.get(layer) ?? (layer === this.layers[0].name ? 0 : -Infinity);
  }

  audible(faders) {
    return this.layers.filter((layer) => this.faderOf(layer.name, faders) > -Infinity);
  }

  /** What is worth making ready, as pairs of zone and key: the roots of the audible layers, then the keys beside them, from the middle outwards. */
  likely(faders, velocity) {
    const middle = (this.lowKey + this.highKey) / 2;
    const pairs = [];
    for (const layer of this.audible(faders)) {
      for (const zone of layer.zones) {
        if (velocity < zone.lowVelocity || velocity > zone.highVelocity) continue;
        for (let key = zone.lowKey; key <= zone.highKey; key++) pairs.push([zone, key]);
      }
    }
    const beside = ([zone, key]) => (key === zone.root ? 0 : 1);
    return pairs.sort((a, b) => beside(a) - beside(b) || a[0].rr - b[0].rr || Math.abs(a[1] - middle) - Math.abs(b[1] - middle));
  }

  plays(key) {
    return this.layers.some((layer) => layer.byKey[key].length);
  }

  /** A velocity that plays a zone, in the middle of its range. */
  static velocityOf(zone) {
    const isOnlyDynamic = zone.lowVelocity === 1 && zone.highVelocity === 127;
    return isOnlyDynamic ? 96 : Math.round((zone.lowVelocity + zone.highVelocity) / 2);
  }
}

/** The data that the build wrote into this script, with classes around them. */
function readLibrary(data) {
  const articulations = data.articulations.map((a) => new Articulation(a.name, a.layers, data.columns));
  const zones = articulations.flatMap((a) => a.layers.flatMap((layer) => layer.zones));
  const byFile = new Map(zones.map((zone) => [zone.file, zone]));
  return { name: data.name, notes: data.notes, sampleRate: data.sampleRate, wheel: data.wheel, about: data.about ?? {}, articulations, byFile, files: [...byFile.keys()] };
}
