package takewright.library;

import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.FileAlreadyExistsException;
import java.nio.file.FileSystemException;
import java.nio.file.Files;
import java.nio.file.NoSuchFileException;
import java.nio.file.Path;
import java.security.MessageDigest;
import java.security.NoSuchAlgorithmException;
import java.util.ArrayList;
import java.util.HashSet;
import java.util.HexFormat;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Set;
import java.util.concurrent.CancellationException;
import java.util.concurrent.ConcurrentHashMap;
import java.util.concurrent.ExecutionException;
import java.util.concurrent.Future;
import java.util.concurrent.LinkedBlockingQueue;
import java.util.concurrent.ThreadPoolExecutor;
import java.util.concurrent.TimeUnit;
import java.util.function.BooleanSupplier;
import java.util.function.Consumer;
import java.util.stream.Stream;
import java.util.zip.CRC32;
import takewright.audio.AtomicFile;
import takewright.audio.AudioFile;
import takewright.audio.Clip;
import takewright.denoise.DenoiseSettings;
import takewright.denoise.NoiseProfile;
import takewright.name.Name;
import takewright.name.NameFacts;
import takewright.segment.FrameRange;
import takewright.segment.Region;
import takewright.segment.Segment;
import takewright.segment.SegmentSettings;
import takewright.segment.Segmentation;

/**
 * Builds a library: takes are cut, their regions matched with the cells that the sheet asks for,
 * and the samples cleaned, tuned, named and written, with a table of all of it.
 *
 * <p>An interrupted build goes on where it stopped: what its journal says is finished is not made
 * again. A sample's bytes follow from the take and the sheet alone, never from time, threads or
 * chance, so the files are the same as of a build that ran through.
 */
public final class Build {
  /** The table of all regions and missing cells, in the output folder. */
  private static final String INDEX = "index.csv";

  /**
   * Changes whenever the same take and sheet would give other bytes: older samples are made again.
   */
  private static final int RECIPE_VERSION = 2;

  /** Share of the work that cutting the takes is, by measuring. */
  private static final double CUTTING_SHARE = 0.4;

  /** Room tone that a profile is learnt from, in seconds: more says little that is new. */
  private static final double TONE_S = 20;

  /** The most of one stretch, in seconds, so that several have their say. */
  private static final double STRETCH_S = 2;

  /** Longer regions are no samples but playing through, in seconds. */
  private static final double LONGEST_S = 120;

  private final Sheet sheet;
  private final Path folder;
  private final Consumer<BuildProgress> progress;
  private final BooleanSupplier cancelled;
  private final Map<String, String> nameOf = new LinkedHashMap<>();
  private final List<IndexRow> rows = new ArrayList<>();
  private final List<Problem> warnings = new ArrayList<>();
  private final Map<Path, String> stamps = new ConcurrentHashMap<>();
  private Journal journal;

  /** Set once the build is over for whatever reason, so that what still runs stops. */
  private volatile boolean stopping;

  private double cut;
  private int samplesTotal;
  private int samplesDone;
  private int samplesReused;
  private double reported;

  private Build(
      Sheet sheet, Path folder, Consumer<BuildProgress> progress, BooleanSupplier cancelled) {
    this.sheet = sheet;
    this.folder = folder;
    this.progress = progress;
    this.cancelled = () -> stopping || cancelled.getAsBoolean();
  }

  /**
   * Builds a library, or goes on with it.
   *
   * @param sheetFile the sheet
   * @param outputFolder the folder to write to; made if missing
   * @param progress told where the build is, from several threads but never at once
   * @param cancelled asked now and then; once true the build stops, and what is finished stays
   * @throws SheetException where the sheet cannot be understood
   * @throws takewright.audio.BadAudioException where a take cannot be
   * @throws FolderBusyException where another build writes to the folder
   * @throws IOException where reading or writing fails; nothing half-written is left
   * @throws CancellationException where it was cancelled
   */
  public static BuildResult run(
      Path sheetFile,
      Path outputFolder,
      Consumer<BuildProgress> progress,
      BooleanSupplier cancelled)
      throws IOException {
    Sheet sheet = SheetReader.read(sheetFile);
    Path folder = outputFolder.toAbsolutePath().normalize();
    Build build = new Build(sheet, folder, progress, cancelled);
    build.nameSamples();
    build.requireMicrophonesAlike();
    Files.createDirectories(folder);
    try (Journal journal = Journal.open(folder)) {
      build.journal = journal;
      build.refuseForeignFiles();
      build.clearLeftovers();
      return build.work();
    }
  }

  /** One take, cut and matched. */
  private record Cut(
      Take take, Segmentation segmentation, List<Region> regions, Matching matching) {}

  private BuildResult work() throws IOException {
    int cores = Runtime.getRuntime().availableProcessors();
    ThreadPoolExecutor workers =
        new ThreadPoolExecutor(
            cores, cores, 0, TimeUnit.SECONDS, new LinkedBlockingQueue<Runnable>());
    try {
      List<Future<Segmentation>> cutting = new ArrayList<>();
      for (Take take : sheet.takes()) {
        cutting.add(workers.submit(() -> cut(take)));
      }
      List<List<Future<List<IndexRow>>>> making = new ArrayList<>();
      List<Cut> cuts = new ArrayList<>();
      for (Take take : sheet.takes()) {
        Cut cut = match(take, result(cutting.get(take.index())));
        cuts.add(cut);
        making.add(make(cut, workers));
      }
      for (Cut cut : cuts) {
        collect(cut, making.get(cut.take().index()));
      }
    } finally {
      stop(workers);
    }
    return finish();
  }

  private BuildResult finish() throws IOException {
    for (Path take : stamps.keySet()) {
      stamp(take);
    }
    AtomicFile.write(folder.resolve(INDEX), IndexCsv.write(rows));
    removeStale();
    int kept = 0;
    int missing = 0;
    int leftOut = 0;
    int flagged = 0;
    for (IndexRow row : rows) {
      if (row.status() == CellStatus.KEPT) {
        kept++;
        flagged += row.flags().isEmpty() ? 0 : 1;
      } else if (row.status() == CellStatus.MISSING) {
        missing++;
      } else {
        leftOut++;
      }
    }
    return new BuildResult(
        kept,
        missing,
        leftOut,
        flagged,
        folder.resolve(INDEX),
        samplesReused,
        warnings.stream().map(w -> new SheetException(sheet.file(), w).getMessage()).toList());
  }

  // Names

  /** Names every sample that the sheet asks for, so that a clash shows before any work is done. */
  private void nameSamples() throws SheetException {
    List<String> keys = new ArrayList<>();
    List<NameFacts> facts = new ArrayList<>();
    for (Take take : sheet.takes()) {
      for (Cell cell : sheet.cells(take)) {
        for (Layer layer : recorded(take)) {
          keys.add(key(cell, layer));
          facts.add(sheet.facts(cell, layer));
        }
      }
    }
    List<String> names;
    try {
      names = Name.formatAll(facts, sheet.naming());
    } catch (IllegalArgumentException e) {
      throw new SheetException(sheet.file(), Problem.error(0, e.getMessage()));
    }
    for (int i = 0; i < keys.size(); i++) {
      nameOf.put(keys.get(i), names.get(i) + ".wav");
    }
  }

  private List<Layer> recorded(Take take) {
    return sheet.layers(take).stream().filter(Layer::isRecorded).toList();
  }

  private static String key(Cell cell, Layer layer) {
    return cell.takeIndex()
        + "/"
        + cell.midi()
        + "/"
        + cell.dynamic()
        + "/"
        + cell.rr()
        + "/"
        + layer.name();
  }

  // The folder

  /** A file that no build wrote, or that was changed since, is never written over. */
  private void refuseForeignFiles() throws IOException {
    for (String name : nameOf.values()) {
      Path file = folder.resolve(name);
      if (!Files.exists(file)) {
        continue;
      }
      Journal.Entry entry = journal.find(name);
      if (entry == null) {
        throw foreign(file);
      }
      if (entry.written() && !unchanged(entry)) {
        throw new FileSystemException(
            file.toString(),
            null,
            "this file was changed after it was built; move it away to have it built again");
      }
    }
    Path index = folder.resolve(INDEX);
    if (Files.exists(index) && journal.find(INDEX) == null) {
      throw foreign(index);
    }
    journal.begin(INDEX, "");
  }

  private static IOException foreign(Path file) {
    return new FileAlreadyExistsException(
        file.toString(),
        null,
        "this file is there already and no build wrote it; move it away, or choose another folder");
  }

  /** Removes what a build that was killed had not finished writing. */
  private void clearLeftovers() throws IOException {
    List<Path> parts;
    try (Stream<Path> files = Files.list(folder)) {
      parts = files.filter(f -> f.getFileName().toString().endsWith(".part")).toList();
    }
    for (Path part : parts) {
      // NAME.xxxxxxxx.part, of a long name only the beginning.
      String text = part.getFileName().toString();
      String name = text.substring(0, Math.max(0, text.length() - 14));
      for (Journal.Entry entry : journal.entries()) {
        if (!name.isEmpty() && entry.file().startsWith(name)) {
          Files.deleteIfExists(part);
          break;
        }
      }
    }
  }

  /**
   * Removes samples of an earlier build that this sheet no longer asks for, if they are as written.
   */
  private void removeStale() throws IOException {
    Set<String> current = new HashSet<>();
    current.add(INDEX);
    rows.stream().filter(r -> !r.file().isEmpty()).forEach(r -> current.add(r.file()));
    for (Journal.Entry entry : journal.entries()) {
      if (!current.contains(entry.file()) && entry.written() && unchanged(entry)) {
        Files.deleteIfExists(folder.resolve(entry.file()));
      }
    }
    journal.keepOnly(current);
  }

  private boolean unchanged(Journal.Entry entry) throws IOException {
    Path file = folder.resolve(entry.file());
    return Files.exists(file)
        && Files.size(file) == entry.size()
        && checksum(file) == entry.crc32();
  }

  private static long checksum(Path file) throws IOException {
    CRC32 crc = new CRC32();
    crc.update(Files.readAllBytes(file));
    return crc.getValue();
  }

  // Cutting and matching

  private void requireMicrophonesAlike() throws IOException {
    for (Take take : sheet.takes()) {
      if (take.files().size() == 1) {
        continue;
      }
      List<AudioFile> microphones = new ArrayList<>();
      try {
        for (Path file : take.files().values()) {
          microphones.add(open(file));
        }
        Check.requireAlike(sheet, take, microphones);
      } finally {
        for (AudioFile microphone : microphones) {
          microphone.close();
        }
      }
    }
  }

  private Segmentation cut(Take take) throws IOException {
    try (AudioFile file = open(take.mainFile())) {
      for (Path microphone : take.files().values()) {
        stamp(microphone);
      }
      report(BuildStep.SEGMENT, take, 0);
      SegmentSettings settings = segmentSettings(take, sheet.tuningHz());
      Segmentation found = Segment.apply(new Stoppable(file, cancelled), settings);
      report(BuildStep.SEGMENT, take, 1.0 / sheet.takes().size());
      return found;
    }
  }

  /** How a take is cut. */
  static SegmentSettings segmentSettings(Take take, double tuningHz) {
    SegmentSettings usual = SegmentSettings.forKind(take.kind());
    return new SegmentSettings(
        usual.kind(),
        take.preRollMs(),
        usual.onThresholdDb(),
        usual.offThresholdDb(),
        usual.minGapMs(),
        usual.minLengthMs(),
        tuningHz);
  }

  /** The regions of a take as they are matched: pieces of its bars joined, the endless rejected. */
  static List<Region> joined(Take take, List<Region> found, int rate) {
    List<Region> regions = new ArrayList<>();
    for (Region region : Bars.join(take, found, rate)) {
      boolean tooLong = region.end() - region.start() > LONGEST_S * rate;
      regions.add(tooLong ? tooLong(region) : region);
    }
    return regions;
  }

  private Cut match(Take take, Segmentation segmentation) {
    report(BuildStep.MATCH, take, 0);
    int rate = segmentation.sampleRate();
    List<Region> regions = joined(take, segmentation.regions(), rate);
    regions = Decisions.apply(take, regions, rate, warnings);
    Matching matching = Matcher.match(regions, sheet.cells(take), rate);
    Decisions.sayUnplaced(take, regions, matching, rate, warnings);
    Problem otherOrder = PlayedOrder.doubt(sheet, take, regions, matching, rate);
    if (otherOrder != null) {
      warnings.add(otherOrder);
    }
    regions = Bars.fill(take, regions, matching.statuses(), rate, segmentation.frames());
    return new Cut(take, segmentation, regions, matching);
  }

  private static Region tooLong(Region r) {
    List<String> flags = new ArrayList<>(r.flags());
    flags.add("too_long");
    return r.marked(true, flags);
  }

  // Making samples

  private List<Future<List<IndexRow>>> make(Cut cut, ThreadPoolExecutor workers)
      throws IOException {
    List<Cell> cells = sheet.cells(cut.take());
    List<Layer> layers = recorded(cut.take());
    Map<String, NoiseProfile> profiles = new LinkedHashMap<>();
    for (Layer layer : layers) {
      profiles.put(layer.name(), profile(cut, cut.take().files().get(layer.name())));
    }
    List<Future<List<IndexRow>>> futures = new ArrayList<>();
    synchronized (this) {
      for (CellStatus status : cut.matching().statuses()) {
        samplesTotal += status == CellStatus.KEPT ? layers.size() : 0;
      }
    }
    for (int i = 0; i < cut.regions().size(); i++) {
      if (cut.matching().statuses().get(i) == CellStatus.KEPT) {
        Region region = cut.regions().get(i);
        Cell cell = cells.get(cut.matching().cells()[i]);
        futures.add(workers.submit(() -> makeAll(cut, region, cell, profiles)));
      } else {
        futures.add(null);
      }
    }
    return futures;
  }

  private NoiseProfile profile(Cut cut, Path take) throws IOException {
    List<Clip> tones = new ArrayList<>();
    double seconds = 0;
    try (AudioFile file = open(take)) {
      for (FrameRange tone : cut.segmentation().roomTone()) {
        long frames = Math.min(tone.length(), (long) (STRETCH_S * file.sampleRate()));
        file.seek(tone.start());
        tones.add(Clip.read(file, (int) frames));
        seconds += (double) frames / file.sampleRate();
        if (seconds >= TONE_S) {
          break;
        }
      }
    }
    return tones.isEmpty() ? null : NoiseProfile.of(tones);
  }

  /** Makes the samples of all microphones of one region, or finds them made. */
  private List<IndexRow> makeAll(
      Cut cut, Region region, Cell cell, Map<String, NoiseProfile> profiles) throws IOException {
    Take take = cut.take();
    SampleMaker.Order order =
        new SampleMaker.Order(
            region,
            cell,
            sheet.tuningHz(),
            DenoiseSettings.DEFAULTS.amountDb(),
            sheet.output().sampleRate(),
            sheet.output().bitDepth());
    SampleMaker.Tuning tuning = null;
    List<IndexRow> made = new ArrayList<>();
    for (Layer layer : recorded(take)) {
      if (cancelled.getAsBoolean()) {
        throw new CancellationException("the build was cancelled");
      }
      String name = nameOf.get(key(cell, layer));
      String recipe = recipe(cut, order, layer);
      Journal.Entry entry = journal.find(name);
      boolean reuse =
          entry != null && entry.written() && entry.recipe().equals(recipe) && unchanged(entry);
      if (!reuse) {
        if (tuning == null) {
          tuning = SampleMaker.tuning(order, take.mainFile());
        }
        SampleMaker.Source source =
            new SampleMaker.Source(
                take.files().get(layer.name()),
                profiles.get(layer.name()),
                folder.resolve(name),
                describe(cell, layer));
        journal.begin(name, recipe);
        SampleMeasures measures = SampleMaker.make(order, tuning, source);
        Path file = folder.resolve(name);
        entry = new Journal.Entry(name, recipe, Files.size(file), checksum(file), measures);
        journal.done(entry);
      }
      synchronized (this) {
        samplesDone++;
        samplesReused += reuse ? 1 : 0;
      }
      report(BuildStep.WRITE, take, 0);
      made.add(keptRow(cut, region, cell, layer, entry));
    }
    return made;
  }

  private String describe(Cell cell, Layer layer) {
    String note = cell.midi() == null ? "" : " " + sheet.naming().noteNames().spell(cell.midi());
    return sheet.library()
        + ", "
        + cell.articulation()
        + note
        + " "
        + cell.dynamic()
        + ", round robin "
        + cell.rr()
        + ", "
        + layer.name();
  }

  /** A digest of all that a sample's bytes follow from. */
  private String recipe(Cut cut, SampleMaker.Order order, Layer layer) throws IOException {
    StringBuilder all = new StringBuilder().append(RECIPE_VERSION).append('|').append(order);
    all.append('|').append(layer.name()).append('|').append(describe(order.cell(), layer));
    for (Path take : cut.take().files().values()) {
      all.append('|').append(take.getFileName()).append(':').append(stamp(take));
    }
    all.append('|').append(cut.segmentation().roomTone());
    try {
      MessageDigest digest = MessageDigest.getInstance("SHA-256");
      return HexFormat.of()
          .formatHex(digest.digest(all.toString().getBytes(StandardCharsets.UTF_8)));
    } catch (NoSuchAlgorithmException e) {
      throw new IllegalStateException("every Java has SHA-256", e);
    }
  }

  // The table

  private void collect(Cut cut, List<Future<List<IndexRow>>> made) throws IOException {
    List<Cell> cells = sheet.cells(cut.take());
    for (int i = 0; i < made.size(); i++) {
      if (made.get(i) != null) {
        rows.addAll(result(made.get(i)));
      } else {
        rows.add(leftOutRow(cut, i, cells));
      }
    }
    for (int missing : cut.matching().missing()) {
      rows.add(missingRow(cut.take(), cells.get(missing)));
    }
  }

  private IndexRow keptRow(Cut cut, Region region, Cell cell, Layer layer, Journal.Entry entry) {
    double rate = cut.segmentation().sampleRate();
    SampleMeasures m = entry.facts();
    return new IndexRow(
        entry.file(),
        cell.articulation(),
        region.kind(),
        layer.name(),
        spell(cell.midi()),
        cell.midi(),
        m.centsBefore(),
        m.centsAfter(),
        cell.dynamic(),
        cell.rr(),
        cut.take().name(),
        region.start() / rate,
        region.onset() / rate,
        region.end() / rate,
        m.levelLufs(),
        m.peakDbtp(),
        m.floorBeforeDbfs(),
        m.floorAfterDbfs(),
        m.gainDb(),
        null,
        null,
        null,
        CellStatus.KEPT,
        m.flags());
  }

  private IndexRow leftOutRow(Cut cut, int index, List<Cell> cells) {
    double rate = cut.segmentation().sampleRate();
    Region region = cut.regions().get(index);
    int at = cut.matching().cells()[index];
    Cell cell = at < 0 ? null : cells.get(at);
    Integer midi = region.pitch() == null ? null : (Integer) region.pitch().midi();
    return new IndexRow(
        "",
        cut.take().articulation(),
        region.kind(),
        "",
        spell(midi),
        midi,
        region.pitch() == null ? null : region.pitch().cents(),
        null,
        cell == null ? "" : cell.dynamic(),
        cell == null ? null : (Integer) cell.rr(),
        cut.take().name(),
        region.start() / rate,
        region.onset() / rate,
        region.end() / rate,
        null,
        null,
        null,
        null,
        null,
        null,
        null,
        null,
        cut.matching().statuses().get(index),
        flags(cut, index));
  }

  private static List<String> flags(Cut cut, int index) {
    List<String> flags = new ArrayList<>(cut.regions().get(index).flags());
    if (cut.matching().isFalseStart(index, cut.regions())) {
      flags.add("false_start");
    }
    return flags;
  }

  private IndexRow missingRow(Take take, Cell cell) {
    return new IndexRow(
        "",
        cell.articulation(),
        take.kind(),
        "",
        spell(cell.midi()),
        cell.midi(),
        null,
        null,
        cell.dynamic(),
        cell.rr(),
        take.name(),
        null,
        null,
        null,
        null,
        null,
        null,
        null,
        null,
        null,
        null,
        null,
        CellStatus.MISSING,
        List.of());
  }

  private String spell(Integer midi) {
    return midi == null ? "" : sheet.naming().noteNames().spell(midi);
  }

  // Work in the background

  private synchronized void report(BuildStep step, Take take, double cutMore) {
    cut = Math.min(1, cut + cutMore);
    double made = samplesTotal == 0 ? 0 : (double) samplesDone / samplesTotal;
    // Takes still to be cut will add samples; what is shown never goes back.
    reported = Math.max(reported, CUTTING_SHARE * cut + (1 - CUTTING_SHARE) * made * cut);
    progress.accept(
        new BuildProgress(step, take.name(), Math.min(1, reported), samplesDone, samplesTotal));
  }

  private <T> T result(Future<T> future) throws IOException {
    try {
      while (true) {
        try {
          return future.get(200, TimeUnit.MILLISECONDS);
        } catch (java.util.concurrent.TimeoutException stillRunning) {
          if (cancelled.getAsBoolean()) {
            throw new CancellationException("the build was cancelled");
          }
        }
      }
    } catch (InterruptedException e) {
      Thread.currentThread().interrupt();
      throw new CancellationException("the build was cancelled");
    } catch (ExecutionException e) {
      if (e.getCause() instanceof IOException io) {
        throw io;
      }
      if (e.getCause() instanceof RuntimeException runtime) {
        throw runtime;
      }
      if (e.getCause() instanceof Error error) {
        throw error;
      }
      throw new IOException(e.getCause());
    }
  }

  /** Starts nothing more and waits for what runs: after this no thread writes to the folder. */
  private void stop(ThreadPoolExecutor workers) {
    stopping = true;
    workers.getQueue().clear();
    workers.shutdown();
    boolean interrupted = false;
    while (true) {
      try {
        if (workers.awaitTermination(1, TimeUnit.SECONDS)) {
          break;
        }
      } catch (InterruptedException e) {
        interrupted = true;
      }
    }
    if (interrupted) {
      Thread.currentThread().interrupt();
    }
  }

  private static AudioFile open(Path take) throws IOException {
    try {
      return AudioFile.open(take);
    } catch (NoSuchFileException e) {
      throw new NoSuchFileException(
          take.toString(), null, "this take is not there; check the name in the sheet");
    }
  }

  /**
   * The size and time of a take, which must stay what they were when the build began: half of the
   * samples from one recording and half from another would fit nowhere.
   */
  private String stamp(Path take) throws IOException {
    String now;
    try {
      now = Files.size(take) + ":" + Files.getLastModifiedTime(take).toMillis();
    } catch (NoSuchFileException e) {
      throw new NoSuchFileException(
          take.toString(), null, "this take was taken away while it was built from; put it back");
    }
    String before = stamps.putIfAbsent(take, now);
    if (before != null && !before.equals(now)) {
      throw new FileSystemException(
          take.toString(), null, "this take was changed while it was built from; build again");
    }
    return now;
  }
}
