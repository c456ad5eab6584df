package takewright.report;

import com.fasterxml.jackson.databind.MappingIterator;
import com.fasterxml.jackson.dataformat.csv.CsvMapper;
import com.fasterxml.jackson.dataformat.csv.CsvParser;
import java.io.FileNotFoundException;
import java.io.IOException;
import java.io.InputStream;
import java.net.URI;
import java.net.URISyntaxException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Properties;
import java.util.Set;
import java.util.concurrent.Future;
import java.util.function.BooleanSupplier;
import java.util.function.DoubleConsumer;
import java.util.stream.Collectors;
import java.util.stream.Stream;
import takewright.audio.AudioFile;
import takewright.audio.Recording;
import takewright.audio.original.AtomicFile;
import takewright.audio.original.CheckedFile;
import takewright.audio.original.Originals;
import takewright.diagnosis.FileProblemException;
import takewright.diagnosis.Flag;
import takewright.diagnosis.Problem;
import takewright.diagnosis.Reason;
import takewright.library.Background;
import takewright.library.BuildOrder;
import takewright.library.folder.Changes;
import takewright.library.folder.IndexCsv;
import takewright.library.folder.IndexRow;
import takewright.library.take.LevelStrip;
import takewright.library.take.TakeHeard;
import takewright.segment.room.RoomCourse;
import takewright.sheet.Sheet;

/**
 * The page of a built library: the folder {@code report} beside its samples, which opens from disk
 * with no network and no server.
 */
final class Report {
  /** The folder, in the output folder. */
  static final String FOLDER = "report";

  /** Written first: where it is, the folder is a page of ours. */
  private static final String MARK = "store.js";

  /** Loads all that the page consists of. */
  private static final String INDEX = "index.html";

  /** What the page consists of. */
  private static final List<String> PAGE =
      List.of(
          MARK,
          "report.css",
          "elements.js",
          "notes.js",
          "reasons.js",
          "folds.js",
          "mixer.js",
          "player.js",
          "sounds.js",
          "decisions.js",
          "saving.js",
          "deciding.js",
          "attention.js",
          "grid.js",
          "plots.js",
          "takes.js",
          "pictures.js",
          "compare.js",
          "editor.js",
          "changes.js",
          "sample.js",
          "running.js",
          "live.js",
          "main.js");

  /** The library that draws plots, and its licence, from its jar on the class path. */
  private static final String PLOTS = "META-INF/maven/org.webjars.npm/uplot/pom.properties";

  private static final Map<String, String> OF_PLOTS =
      Map.of(
          "dist/uPlot.iife.min.js", "uPlot.iife.min.js",
          "dist/uPlot.min.css", "uPlot.min.css",
          "LICENSE", "uPlot-LICENSE.txt");

  private final Sheet sheet;
  private final Path folder;
  private final Path report;
  private final Path decisions;
  private final boolean allSounds;

  /**
   * @param sheet with the decisions
   * @param order what is built, and where to
   * @param allSounds whether sounds of all samples are kept, not only of flagged ones
   */
  Report(Sheet sheet, BuildOrder order, boolean allSounds) {
    this.sheet = sheet;
    this.decisions = order.decisions();
    this.folder = order.out().toAbsolutePath().normalize();
    this.report = this.folder.resolve(FOLDER);
    this.allSounds = allSounds;
  }

  /**
   * A folder of that name that no build made is not written into, and no file of the page that a
   * person has changed is replaced.
   */
  void refuseForeign() throws IOException {
    if (Files.exists(report) && !Files.exists(report.resolve(MARK)) && !isOnlyBegun()) {
      throw new FileProblemException(
          Reason.ALREADY_THERE,
          report.toString(),
          "exists already and no build made it",
          "move it away, or choose another folder");
    }
    for (String part : PAGE) {
      Originals.requireReplaceable(report.resolve(part));
    }
    Originals.requireReplaceable(report.resolve(INDEX));
  }

  /** Whether a build was killed before the first file of the page was there. */
  private boolean isOnlyBegun() throws IOException {
    try (Stream<Path> files = Files.walk(report)) {
      return files.filter(Files::isRegularFile).allMatch(AtomicFile::isLeftover);
    }
  }

  /**
   * The page without anything on it, so that it can be opened while the build runs.
   *
   * @param plan the cells that are asked for, take by take
   */
  void begin(List<Map<String, Object>> plan) throws IOException {
    for (String part : List.of("lib", "data", SamplePictures.PICTURES, SamplePictures.SOUNDS)) {
      CheckedFile.createFolders(report.resolve(part));
      AtomicFile.clearLeftovers(report.resolve(part));
    }
    AtomicFile.clearLeftovers(report);
    for (String part : PAGE) {
      copy("takewright/report/" + part, report.resolve(part));
    }
    PageData.constant(report.resolve("flags.js"), "FLAGS", flags());
    Properties plots = new Properties();
    try (InputStream in = resource(PLOTS)) {
      plots.load(in);
    }
    String jar = "META-INF/resources/webjars/uplot/" + plots.getProperty("version") + "/";
    for (Map.Entry<String, String> part : OF_PLOTS.entrySet()) {
      copy(jar + part.getKey(), report.resolve("lib").resolve(part.getValue()));
    }
    PageData.write(report.resolve("data/plan.js"), "plan", "", plan);
    if (!Files.exists(report.resolve("data/index.js"))) {
      PageData.write(
          report.resolve("data/index.js"), "index", "", index(List.of(), List.of(), List.of()));
    }
    // Last, so that whoever can open it finds all that it loads.
    copy("takewright/report/" + INDEX, report.resolve(INDEX));
  }

  /** What the page says of a flag. */
  private record FlagText(int weight, String meaning, String remedy) {}

  /** What each flag means, by its word. */
  private static Map<String, Object> flags() {
    Map<String, Object> flags = new LinkedHashMap<>();
    for (Flag flag : Flag.values()) {
      flags.put(flag.word(), new FlagText(flag.weight(), flag.meaning(), flag.remedy()));
    }
    return flags;
  }

  private static InputStream resource(String name) throws IOException {
    InputStream in = Report.class.getClassLoader().getResourceAsStream(name);
    if (in == null) {
      throw new FileNotFoundException(
          "a part of the report is missing in the program: " + name + "; build the program again");
    }
    return in;
  }

  private static void copy(String name, Path to) throws IOException {
    byte[] content;
    try (InputStream in = resource(name)) {
      content = in.readAllBytes();
    }
    AtomicFile.write(to, content);
  }

  /** Says where a running build is; the page looks at it now and then. */
  void progress(Map<String, Object> state) throws IOException {
    PageData.write(report.resolve("data/progress.js"), "progress", "", state);
  }

  /**
   * Fills the page but for its pictures and sounds.
   *
   * @param index the library's table
   * @param changes what is new, changed or gone since the last build
   * @param warnings what the build said beyond it
   */
  Pictures write(Path index, HeardTakes heard, Changes changes, List<Problem> warnings)
      throws IOException {
    List<IndexRow> rows = IndexCsv.read(index);
    SamplePictures pictures = new SamplePictures(sheet, folder, report, heard, allSounds);
    Set<String> attempts = SamplePictures.attempts(rows);
    List<IndexRow> drawn = rows.stream().filter(SamplePictures::isDrawn).toList();
    List<IndexRow> heardOf =
        drawn.stream().filter(row -> pictures.hasSounds(row, attempts)).toList();
    removeStale(SamplePictures.PICTURES, drawn.stream().map(pictures::script));
    removeStale(SamplePictures.SOUNDS, heardOf.stream().map(pictures::script));
    Map<String, Object> content = index(table(index), heard.takes(), warnings);
    content.put("scripts", rows.stream().map(pictures::script).toList());
    content.put("sounds", heardOf.stream().map(pictures::script).toList());
    content.put("changes", changes(changes));
    content.put("first", changes.isFirst());
    content.put("decisions", DecisionData.of(sheet, decisions));
    PageData.write(report.resolve("data/index.js"), "index", "", content);
    return new Pictures(pictures, rows, drawn, Set.copyOf(heardOf));
  }

  /**
   * The pictures and sounds of a page.
   *
   * @param rows all that the page shows
   * @param drawn those that have a picture from the start
   * @param withSounds those that have sounds from the start
   */
  record Pictures(
      SamplePictures source, List<IndexRow> rows, List<IndexRow> drawn, Set<IndexRow> withSounds) {
    /**
     * Draws what is missing or outdated.
     *
     * @param done told the share of the work that is done, 0 to 1
     */
    void draw(DoubleConsumer done, BooleanSupplier cancelled) throws IOException {
      try (Background background = new Background(cancelled)) {
        List<Future<Void>> drawing = new ArrayList<>();
        for (IndexRow row : drawn) {
          drawing.add(
              background.submit(
                  () -> {
                    background.stopIfCancelled();
                    source.make(row, withSounds.contains(row));
                    return null;
                  }));
        }
        for (int i = 0; i < drawing.size(); i++) {
          background.result(drawing.get(i));
          done.accept((i + 1.0) / drawing.size());
        }
      }
    }
  }

  /** What a build changed, each with where the sample as it was can be heard. */
  private List<Object> changes(Changes changes) {
    List<Object> list = new ArrayList<>();
    if (!changes.isFirst()) {
      changes.added().forEach(file -> list.add(change("new", file)));
      changes.changed().forEach(file -> list.add(change("changed", file)));
      changes.vanished().forEach(file -> list.add(change("gone", file)));
    }
    return list;
  }

  private Map<String, Object> change(String kind, String file) {
    String old = Changes.BEFORE + "/" + file;
    Map<String, Object> change = new LinkedHashMap<>();
    change.put("change", kind);
    change.put("file", file);
    change.put("old", Files.exists(folder.resolve(old)) ? old : null);
    return change;
  }

  private void removeStale(String part, Stream<String> scripts) throws IOException {
    Set<String> current = scripts.collect(Collectors.toSet());
    List<Path> stale;
    try (Stream<Path> files = Files.list(report.resolve(part))) {
      stale = files.filter(f -> !current.contains(f.getFileName().toString())).toList();
    }
    for (Path file : stale) {
      if (Originals.isOwn(file)) {
        CheckedFile.delete(file);
      }
    }
  }

  /** The table as it is, header and all: the page makes of it what it knows. */
  private static List<String[]> table(Path index) throws IOException {
    CsvMapper csv =
        CsvMapper.builder()
            .enable(CsvParser.Feature.WRAP_AS_ARRAY)
            .enable(CsvParser.Feature.SKIP_EMPTY_LINES)
            .build();
    try (MappingIterator<String[]> lines =
        csv.readerFor(String[].class).readValues(index.toFile())) {
      return lines.readAll();
    }
  }

  private static Map<String, Object> warning(Problem problem) {
    Map<String, Object> content = new LinkedHashMap<>();
    content.put("reason", problem.reason().name());
    content.put("key", problem.place() == null ? problem.field() : problem.place().key());
    content.put("place", problem.place() == null ? "" : problem.place().text());
    content.put("what", problem.what());
    content.put("remedy", problem.remedy());
    return content;
  }

  private Map<String, Object> index(
      List<String[]> table, List<TakeHeard> takes, List<Problem> warnings) throws IOException {
    Map<String, Object> content = new LinkedHashMap<>();
    content.put("library", sheet.library());
    content.put("sheet", sheet.file().getFileName().toString());
    content.put("warnings", warnings.stream().map(Report::warning).toList());
    content.put("allSounds", allSounds);
    List<Object> shown = new ArrayList<>();
    for (TakeHeard heard : takes) {
      shown.add(take(heard));
    }
    content.put("takes", shown);
    content.put("stepS", LevelStrip.STEP_S);
    content.put("columns", table.isEmpty() ? IndexCsv.COLUMNS : table.get(0));
    content.put("rows", table.isEmpty() ? table : table.subList(1, table.size()));
    return content;
  }

  private Map<String, Object> take(TakeHeard heard) throws IOException {
    Map<String, Object> take = new LinkedHashMap<>();
    take.put("name", heard.take().name());
    take.put("articulation", heard.take().articulation());
    take.put("line", heard.take().line());
    Map<String, Object> files = new LinkedHashMap<>();
    for (Map.Entry<String, Recording> file : heard.take().files().entrySet()) {
      files.put(file.getKey(), files(file.getValue()));
    }
    take.put("files", files);
    take.put("fromS", heard.take().span().fromS());
    take.put("seconds", heard.segmentation().frames() / (double) heard.segmentation().sampleRate());
    take.put("roomToneDbfs", heard.segmentation().roomToneDbfs());
    double rate = heard.segmentation().sampleRate();
    take.put(
        "roomTone",
        heard.segmentation().roomTone().stream()
            .map(tone -> new double[] {tone.start() / rate, tone.end() / rate})
            .toList());
    take.put("tuned", heard.take().treatment().tuned());
    take.put("levels", heard.levels());
    RoomCourse room = heard.segmentation().room();
    byte[] learnt = new byte[room.steps()];
    byte[] start = new byte[room.steps()];
    for (int i = 0; i < learnt.length; i++) {
      learnt[i] = LevelStrip.ofNoise(room.levelDbfs(i));
      start[i] = LevelStrip.ofNoise(room.startDbfs(i));
    }
    take.put("roomStepS", room.stepS());
    take.put("room", learnt);
    take.put("threshold", start);
    return take;
  }

  /**
   * A file of a take.
   *
   * @param address seen from the page
   * @param fromS when it begins in the take
   */
  private record TakeFile(String address, double fromS) {}

  /** The files of a recording, each with when it begins. */
  private List<Object> files(Recording recording) throws IOException {
    List<Object> files = new ArrayList<>();
    double fromS = 0;
    for (Path file : recording.files()) {
      files.add(new TakeFile(address(file), fromS));
      try (AudioFile audio = AudioFile.openChecked(file)) {
        fromS += (double) audio.frames() / audio.sampleRate();
      }
    }
    return files;
  }

  /** A file's address seen from the page: relative where it can be, so that both can be moved. */
  private String address(Path file) throws IOException {
    Path real = file.toRealPath();
    Path from = report.toRealPath();
    if (!java.util.Objects.equals(real.getRoot(), from.getRoot())) {
      return real.toUri().toString();
    }
    String relative = from.relativize(real).toString().replace('\\', '/');
    try {
      return new URI(null, null, relative, null).getRawPath();
    } catch (URISyntaxException e) {
      throw new IOException(file + ": cannot be written as an address", e);
    }
  }
}
