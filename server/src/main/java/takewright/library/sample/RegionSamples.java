package takewright.library.sample;

import java.io.IOException;
import java.util.ArrayList;
import java.util.Comparator;
import java.util.List;
import java.util.Map;
import takewright.audio.Recording;
import takewright.audio.WavChunks;
import takewright.denoise.room.NoiseProfile;
import takewright.level.NoteGain;
import takewright.library.folder.Journal;
import takewright.library.folder.OutputFolder;
import takewright.library.take.CutTake;
import takewright.library.take.KeptRegion;
import takewright.loop.LoopResult;
import takewright.segment.FrameRange;
import takewright.sheet.Layer;
import takewright.sheet.Sheet;
import takewright.sheet.Take;

/**
 * Makes all samples of a region, or reuses them: those of its microphones by one plan, then the
 * further layers from the sample of the main microphone.
 */
public final class RegionSamples {
  /**
   * Increased whenever the same take and sheet would give other bytes, so that older samples are
   * made again.
   */
  private static final int VERSION = 21;

  private final Sheet sheet;
  private final SampleNames names;
  private final OutputFolder folder;
  private final Map<String, WavChunks.Instrument> keys;
  private final LayerMaker layers;

  /**
   * Samples of a folder.
   *
   * @param keys those that each sample will most likely have, by its name
   */
  public RegionSamples(
      Sheet sheet, SampleNames names, OutputFolder folder, Map<String, WavChunks.Instrument> keys) {
    this.sheet = sheet;
    this.names = names;
    this.folder = folder;
    this.keys = keys;
    this.layers = new LayerMaker(sheet, names, folder, keys);
  }

  /** Receives each sample, and may stop the work between two samples. */
  public interface SampleWatcher {
    /** A sample will be looked for or made; throws where the work is to stop. */
    void next() throws IOException;

    /**
     * A sample is there.
     *
     * @param reused whether an earlier build had made it
     */
    void made(Layer layer, Journal.Entry entry, boolean reused);
  }

  /** A microphone's sample, and what it is made of. */
  private record Wanted(
      Layer layer, String name, String recipe, SampleSource source, Journal.Entry made) {
    boolean isMade() {
      return made != null;
    }
  }

  /**
   * Makes the samples of a region.
   *
   * @param rooms the room tone of each recorded layer that has one
   * @param leanCents what its neighbours add to how far the note is heard to be off, in cents
   * @param gain what their level is moved by; null where levels are left alone
   */
  public void make(
      CutTake cut,
      KeptRegion kept,
      Map<String, NoiseProfile> rooms,
      double leanCents,
      NoteGain gain,
      SampleWatcher watcher)
      throws IOException {
    SampleOrder order = SampleOrder.of(sheet, kept, leanCents, gain);
    watcher.next();
    List<Wanted> microphones = new ArrayList<>();
    for (Layer layer : mainFirst(kept.take())) {
      microphones.add(wanted(cut, order, layer, rooms.get(layer.name())));
    }
    Journal.Entry main =
        microphones.stream().allMatch(Wanted::isMade)
            ? found(microphones, watcher)
            : render(order, kept.take().main(), microphones, watcher);
    for (Layer layer : sheet.made(kept.take())) {
      watcher.next();
      LayerMaker.Made made = layers.make(cut, order, layer, main);
      watcher.made(layer, made.entry(), made.reused());
    }
  }

  /** The other microphones follow the main one. */
  private List<Layer> mainFirst(Take take) {
    List<Layer> recorded = new ArrayList<>(sheet.recorded(take));
    recorded.sort(
        Comparator.comparing(layer -> !take.files().get(layer.name()).equals(take.main())));
    return recorded;
  }

  private Wanted wanted(CutTake cut, SampleOrder order, Layer layer, NoiseProfile room)
      throws IOException {
    String name = names.of(order.cell(), layer);
    SampleText text = names.text(order.cell(), layer);
    String recipe = recipe(cut, order, layer, text);
    Recording recording = cut.take().files().get(layer.name());
    SampleSource source = new SampleSource(recording, room, text, keys.get(name));
    return new Wanted(layer, name, recipe, source, folder.made(name, recipe));
  }

  private static String recipe(CutTake cut, SampleOrder order, Layer layer, SampleText text)
      throws IOException {
    Recipe recipe = new Recipe().add("version", VERSION).add("layer", layer.name());
    text.addTo(recipe);
    order.addTo(recipe);
    for (Map.Entry<String, Recording> file : cut.take().files().entrySet()) {
      recipe.addRecording("take " + file.getKey(), file.getValue());
    }
    for (FrameRange silence : cut.segmentation().roomTone()) {
      recipe.add("room_tone_start", silence.start()).add("room_tone_end", silence.end());
    }
    if (cut.take().roomTone() != null) {
      recipe.addAll("room_tone_s", cut.take().roomTone());
    }
    return recipe.digest();
  }

  private static Journal.Entry found(List<Wanted> microphones, SampleWatcher watcher) {
    microphones.forEach(microphone -> watcher.made(microphone.layer(), microphone.made(), true));
    return microphones.get(0).made();
  }

  /** Makes what is missing, the main microphone first; its entry. */
  private Journal.Entry render(
      SampleOrder order, Recording mainMicrophone, List<Wanted> microphones, SampleWatcher watcher)
      throws IOException {
    Tuning tuning = SampleMaker.listen(order, mainMicrophone);
    Wanted main = microphones.get(0);
    SamplePlan plan;
    Journal.Entry entry;
    if (main.isMade()) {
      entry = main.made();
      plan = SamplePlan.of(order, tuning, entry.sample().loop());
    } else {
      PreparedAudio prepared = PreparedAudio.of(order, tuning, main.source());
      LoopResult looped = SampleMaker.loop(order, tuning, prepared);
      plan = new SamplePlan(order, tuning, looped);
      entry = make(plan, prepared, main);
    }
    watcher.made(main.layer(), entry, main.isMade());
    for (Wanted microphone : microphones.subList(1, microphones.size())) {
      watcher.next();
      Journal.Entry other =
          microphone.isMade()
              ? microphone.made()
              : make(plan, PreparedAudio.of(order, tuning, microphone.source()), microphone);
      watcher.made(microphone.layer(), other, microphone.isMade());
    }
    return entry;
  }

  private Journal.Entry make(SamplePlan plan, PreparedAudio prepared, Wanted wanted)
      throws IOException {
    return folder.make(
        wanted.name(),
        wanted.recipe(),
        file -> SampleMaker.write(plan, prepared, wanted.source(), file));
  }
}
