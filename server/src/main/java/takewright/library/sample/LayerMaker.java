package takewright.library.sample;

import java.io.IOException;
import java.io.UncheckedIOException;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import java.util.Set;
import java.util.concurrent.ConcurrentHashMap;
import takewright.analyse.Analyse;
import takewright.analyse.AnalyseSettings;
import takewright.analyse.SampleFacts;
import takewright.audio.AudioFile;
import takewright.audio.Clip;
import takewright.audio.WavChunks;
import takewright.audio.write.WavWriter;
import takewright.diagnosis.Diagnosed;
import takewright.diagnosis.Flag;
import takewright.diagnosis.Flags;
import takewright.diagnosis.Problem;
import takewright.layer.ComputedRoom;
import takewright.layer.Effect;
import takewright.layer.LayerResult;
import takewright.layer.LayerSettings;
import takewright.layer.RoomSettings;
import takewright.library.folder.BeforeAfter;
import takewright.library.folder.Journal;
import takewright.library.folder.LoopAndRelease;
import takewright.library.folder.MadeSample;
import takewright.library.folder.Measures;
import takewright.library.folder.OutputFolder;
import takewright.library.take.CutTake;
import takewright.segment.Region;
import takewright.sheet.Layer;
import takewright.sheet.Sheet;
import takewright.sheet.SheetException;
import takewright.sheet.SheetProblem;
import takewright.sheet.Take;
import takewright.sheet.cell.Cell;

/**
 * Makes the further layers of a sample, from the finished sample of the main microphone: the onset
 * is at the same frame, and the base of the name is the same.
 */
public final class LayerMaker {
  /** A loop is unrolled until the room has settled, but for no longer, in seconds. */
  private static final double MAX_UNROLLED_S = 12;

  /** Release of a sample that has none of its own, in milliseconds, as in the key map. */
  private static final double USUAL_RELEASE_MS = 300;

  private final Sheet sheet;
  private final SampleNames names;
  private final OutputFolder folder;
  private final Map<String, WavChunks.Instrument> keys;
  private final Map<String, Clip> impulses = new ConcurrentHashMap<>();

  /**
   * Layers of a folder.
   *
   * @param keys those that each sample will most likely have, by its name
   */
  LayerMaker(
      Sheet sheet, SampleNames names, OutputFolder folder, Map<String, WavChunks.Instrument> keys) {
    this.sheet = sheet;
    this.names = names;
    this.folder = folder;
    this.keys = keys;
  }

  /**
   * A layer's sample.
   *
   * @param reused whether an earlier build had made it
   */
  public record Made(Journal.Entry entry, boolean reused) {}

  /** Makes a layer of a sample, or reuses it. */
  public Made make(CutTake cut, SampleOrder order, Layer layer, Journal.Entry main)
      throws IOException {
    Take take = cut.take();
    Cell cell = order.cell();
    String name = names.of(cell, layer);
    List<Effect> chain = new ArrayList<>();
    layer.chain().forEach(link -> chain.add(link.at(take.tempoBpm())));
    if (layer.gainDb() != 0) {
      chain.add(new Effect.Gain(layer.gainDb()));
    }
    SampleText text = names.text(cell, layer);
    String recipe = recipe(layer, chain, main, text);
    Journal.Entry made = folder.made(name, recipe);
    if (made != null) {
      return new Made(made, true);
    }
    Journal.Entry entry =
        folder.make(
            name,
            recipe,
            file -> render(onset(cut, order.region()), cell, layer, chain, main, text, file));
    return new Made(entry, false);
  }

  private String recipe(Layer layer, List<Effect> chain, Journal.Entry main, SampleText text)
      throws IOException {
    Recipe recipe = new Recipe().add("sample", main.recipe());
    text.addTo(recipe);
    recipe.add("effects", chain.size());
    for (int i = 0; i < chain.size(); i++) {
      recipe.addSettings("effect." + i, (Record) chain.get(i));
    }
    recipe
        .addSettings("room", layer.room())
        .add("wet_db", layer.wetDb())
        .add("pre_delay_ms", layer.preDelayMs())
        .add("wet_only", layer.wetOnly());
    if (layer.impulse() != null) {
      recipe.addFile("impulse", layer.impulse());
    }
    return recipe.digest();
  }

  /** The frame of the note's onset in the sample. */
  private long onset(CutTake cut, Region region) {
    double leadInS = (double) (region.onset() - region.start()) / cut.segmentation().sampleRate();
    return Math.round(leadInS * sheet.output().sampleRate());
  }

  private MadeSample render(
      long onset,
      Cell cell,
      Layer layer,
      List<Effect> chain,
      Journal.Entry main,
      SampleText text,
      Path file)
      throws IOException {
    Clip sample;
    try (AudioFile audio = AudioFile.openChecked(folder.file(main.file()))) {
      sample = Clip.read(audio, (int) audio.frames());
    }
    MadeSample of = main.sample();
    LayerSettings settings =
        new LayerSettings(room(layer, sample), chain, Math.min(onset, sample.frames()));
    Layered layered = layered(layer, sample, settings, of.loop());
    Clip audio = layered.result.audio();
    SampleFacts facts = Analyse.apply(audio, new AnalyseSettings(true, sheet.tuningHz()));
    WavWriter.writeOneOfMany(
        file,
        audio,
        sheet.output().bitDepth(),
        chunks(cell, text, layered.loop).onKeys(keys.get(file.getFileName().toString())));
    Set<Flag> flags = Flags.union(of.flags(), facts.flags());
    if (layered.result.gainDb() < 0) {
      flags = Flags.with(flags, Flag.LAYER_LIMIT);
    }
    return new MadeSample(
        measures(of.measures(), facts, layer.gainDb(), layered.result.gainDb()),
        loop(of.loop(), layered, cell),
        flags);
  }

  /**
   * What a layer makes of a sample.
   *
   * @param added frames by which it is longer, as what was added rings on
   * @param loop null if it has none
   * @param whyNone why it has none; empty if it has one
   */
  private record Layered(
      LayerResult result, long added, WavChunks.SampleLoop loop, String whyNone) {}

  private Layered layered(Layer layer, Clip sample, LayerSettings settings, LoopAndRelease held)
      throws SheetException {
    LayerResult result = apply(layer, sample, settings);
    long added = result.audio().frames() - sample.frames();
    boolean isReversed =
        settings.chain().stream().anyMatch(effect -> effect instanceof Effect.Reverse);
    if (isReversed || !held.hasLoop()) {
      return new Layered(result, added, null, isReversed ? "reversed" : held.reason());
    }
    long length = held.end() - held.start() + 1;
    long turns = 0;
    if (added > 0) {
      double settled = Math.min(added, MAX_UNROLLED_S * sample.sampleRate());
      turns = (long) Math.ceil(settled / length);
      result = apply(layer, unrolled(sample, held.start(), length, (int) turns), settings);
    }
    long later = turns * length;
    WavChunks.SampleLoop loop = new WavChunks.SampleLoop(held.start() + later, held.end() + later);
    return new Layered(result, added, loop, "");
  }

  /** Pitch and its correction are those of the main microphone; the rest is measured. */
  private static Measures measures(
      Measures main, SampleFacts facts, double layerDb, double loweredDb) {
    return new Measures(
        main.cents(),
        main.centsUncertainty(),
        new BeforeAfter(null, facts.floorDbfs()),
        Double.isNaN(facts.levelLufs()) ? null : (Double) facts.levelLufs(),
        facts.peakDbtp(),
        (main.gainDb() == null ? 0 : main.gainDb()) + layerDb + loweredDb,
        null);
  }

  private static LoopAndRelease loop(LoopAndRelease held, Layered layered, Cell cell) {
    WavChunks.SampleLoop loop = layered.loop;
    double addedMs = 1000.0 * layered.added / layered.result.audio().sampleRate();
    return new LoopAndRelease(
        loop == null ? null : (Long) loop.start(),
        loop == null ? null : (Long) loop.end(),
        loop == null ? null : held.fade(),
        release(held.releaseMs(), cell, addedMs),
        layered.whyNone);
  }

  private LayerResult apply(Layer layer, Clip sample, LayerSettings settings)
      throws SheetException {
    try {
      return takewright.layer.MakeLayer.apply(sample, settings);
    } catch (IllegalArgumentException e) {
      throw wrong(layer, e);
    }
  }

  private static Problem problem(Layer layer, IllegalArgumentException e) {
    Problem problem =
        e instanceof Diagnosed known
            ? known.problem()
            : Problem.invalid("", String.valueOf(e.getMessage()), "correct the layer");
    String what = layer.name() + ": " + problem.field() + " " + problem.what();
    return Problem.invalid("layers", what, problem.remedy());
  }

  private SheetException wrong(Layer layer, IllegalArgumentException e) {
    return new SheetException(sheet.file(), SheetProblem.error(layer.line(), problem(layer, e)));
  }

  /**
   * Plays the loop some times more before going on: what was added to the sound has settled to the
   * loop's own period then, and the last turn joins on to itself as the loop did before.
   */
  static Clip unrolled(Clip sample, long loopStart, long length, int turns) {
    int start = (int) loopStart;
    int period = (int) length;
    float[][] channels = new float[sample.channels()][sample.frames() + turns * period];
    for (int c = 0; c < channels.length; c++) {
      float[] x = sample.channel(c);
      System.arraycopy(x, 0, channels[c], 0, start + period);
      int at = start + period;
      for (int turn = 0; turn < turns; turn++) {
        System.arraycopy(x, start, channels[c], at, period);
        at += period;
      }
      System.arraycopy(x, start + period, channels[c], at, x.length - start - period);
    }
    return Clip.of(sample.sampleRate(), channels);
  }

  /** The added sound rings on after the key is released. */
  private static Double release(Double ofSample, Cell cell, double addedMs) {
    if (addedMs <= 0 || cell.midi() == null) {
      return ofSample;
    }
    return (ofSample == null ? USUAL_RELEASE_MS : ofSample) + addedMs;
  }

  private RoomSettings room(Layer layer, Clip sample) throws IOException {
    if (layer.impulse() == null && layer.room() == null) {
      return null;
    }
    Clip impulse;
    try {
      impulse =
          impulses.computeIfAbsent(
              layer.line() + "/" + sample.channels() + "/" + sample.sampleRate(),
              key ->
                  layer.impulse() == null
                      ? ComputedRoom.impulse(layer.room(), sample.sampleRate(), sample.channels())
                      : read(layer.impulse()));
    } catch (UncheckedIOException e) {
      throw e.getCause();
    }
    try {
      return new RoomSettings(impulse, layer.wetDb(), layer.preDelayMs(), !layer.wetOnly());
    } catch (IllegalArgumentException e) {
      throw wrong(layer, e);
    }
  }

  private static Clip read(Path impulse) {
    try (AudioFile audio = AudioFile.openChecked(impulse)) {
      return Clip.read(audio, (int) Math.min(Integer.MAX_VALUE - 8, audio.frames()));
    } catch (IOException e) {
      throw new UncheckedIOException(e);
    }
  }

  private static WavChunks chunks(Cell cell, SampleText text, WavChunks.SampleLoop loop) {
    // A sample without a root note gets its key from the key map.
    int key = cell.midi() == null ? SampleMaker.KEY_OF_NO_NOTE : cell.midi();
    return new WavChunks(
        new WavChunks.Sampler(key, 0, loop == null ? List.of() : List.of(loop)),
        new WavChunks.Instrument(key, 0, 0, key, key, 1, 127),
        text.broadcast(),
        text.info());
  }
}
