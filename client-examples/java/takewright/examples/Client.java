package takewright.examples;

import io.grpc.Status;
import io.grpc.StatusRuntimeException;
import java.io.IOException;
import java.math.BigDecimal;
import java.nio.file.Files;
import java.nio.file.NoSuchFileException;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.HashMap;
import java.util.Iterator;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.Set;
import java.util.stream.Collectors;
import takewright.v1.AnalyseConfig;
import takewright.v1.BuildProgress;
import takewright.v1.BuildResult;
import takewright.v1.Cell;
import takewright.v1.DenoiseConfig;
import takewright.v1.DenoiseReport;
import takewright.v1.Flag;
import takewright.v1.FollowSessionConfig;
import takewright.v1.FollowSessionResponse;
import takewright.v1.GetServerInfoResponse;
import takewright.v1.LayerConfig;
import takewright.v1.LayerReport;
import takewright.v1.NameFacts;
import takewright.v1.NoteHeard;
import takewright.v1.PcmEncoding;
import takewright.v1.PcmFormat;
import takewright.v1.Region;
import takewright.v1.RegionStatus;
import takewright.v1.RetuneConfig;
import takewright.v1.RetuneReport;
import takewright.v1.SampleFacts;
import takewright.v1.SegmentConfig;
import takewright.v1.WatchBuildResponse;

/**
 * The command line of the client: each operation once, with results as lines for a script. Fields
 * are separated by tabs.
 */
public final class Client {
  private static final String USAGE =
      "usage: Client info | segment FILE | analyse FILE... | denoise FILE OUT [--amount-db DB]"
          + " | retune FILE OUT [--cents CENTS] | layer FILE OUT [--wet-db DB] | name NAME"
          + " | name [--library L] [--articulation A] [--layer L] [--midi N] [--dynamic D] [--rr N]"
          + " | build SHEET OUT | watch ID | resume ID | follow SHEET --pcm int24,48000,2 [--take NAME]; [--server HOST:PORT]"
          + " [--token-file FILE] [--tls-ca FILE] [--timeout SECONDS] [--stream]";

  private static final Set<String> OPTIONS =
      Set.of(
          "--server",
          "--token-file",
          "--tls-ca",
          "--timeout",
          "--pcm",
          "--take",
          "--amount-db",
          "--cents",
          "--wet-db",
          "--library",
          "--articulation",
          "--layer",
          "--midi",
          "--dynamic",
          "--rr");

  /** How many words each command takes at least and at most. */
  private static final Map<String, int[]> COMMANDS =
      Map.ofEntries(
          Map.entry("info", new int[] {0, 0}),
          Map.entry("segment", new int[] {1, 1}),
          Map.entry("analyse", new int[] {1, Integer.MAX_VALUE}),
          Map.entry("denoise", new int[] {2, 2}),
          Map.entry("retune", new int[] {2, 2}),
          Map.entry("layer", new int[] {2, 2}),
          Map.entry("name", new int[] {0, 1}),
          Map.entry("build", new int[] {2, 2}),
          Map.entry("watch", new int[] {1, 1}),
          Map.entry("resume", new int[] {1, 1}),
          Map.entry("follow", new int[] {1, 1}));

  /** As the shell has it for SIGPIPE. */
  private static final int CLOSED_PIPE = 141;

  private final Map<String, String> options = new HashMap<>();
  private final List<String> words = new ArrayList<>();

  private Client(String[] args) {
    for (Iterator<String> rest = List.of(args).iterator(); rest.hasNext(); ) {
      String word = rest.next();
      if (word.equals("--stream")) {
        options.put(word, "");
      } else if (word.startsWith("--")) {
        if (!OPTIONS.contains(word) || !rest.hasNext()) {
          throw new Problem(word + " is not known or needs a value; " + USAGE);
        }
        options.put(word, rest.next());
      } else {
        words.add(word);
      }
    }
    int[] range = words.isEmpty() ? null : COMMANDS.get(words.get(0));
    if (range == null || words.size() - 1 < range[0] || words.size() - 1 > range[1]) {
      throw new Problem(USAGE);
    }
  }

  public static void main(String[] args) throws InterruptedException {
    int status = 2;
    String server = "";
    try {
      Client command = new Client(args);
      server = command.options.getOrDefault("--server", "127.0.0.1:7171");
      try (Takewright client = command.connect(server)) {
        status = command.run(client);
      }
    } catch (StatusRuntimeException | Problem | IOException e) {
      say(explain(e, server));
    }
    System.exit(status);
  }

  private Takewright connect(String server) {
    String tokenFile = options.get("--token-file");
    String tlsCa = options.get("--tls-ca");
    return new Takewright(
        server,
        tokenFile == null ? null : Path.of(tokenFile),
        tlsCa == null ? null : Path.of(tlsCa),
        number("--timeout", 600.0),
        options.containsKey("--stream"));
  }

  private int run(Takewright client) throws IOException, InterruptedException {
    switch (words.get(0)) {
      case "info" -> info(client);
      case "segment" -> segment(client, path(1));
      case "analyse" -> {
        return analyse(client, words.subList(1, words.size()));
      }
      case "denoise" -> denoise(client, path(1), path(2));
      case "retune" -> retune(client, path(1), path(2));
      case "layer" -> layer(client, path(1), path(2));
      case "name" -> name(client);
      case "build" -> watch(client, client.startBuild(path(1), path(2)));
      case "watch" -> watch(client, words.get(1));
      case "resume" -> watch(client, client.resumeBuild(words.get(1)));
      default -> follow(client, path(1));
    }
    return 0;
  }

  private Path path(int word) {
    return Path.of(words.get(word));
  }

  /** A number that an option gives; {@code otherwise} where it is not given. */
  private Double number(String option, Double otherwise) {
    String text = options.get(option);
    try {
      return text == null ? otherwise : Double.valueOf(text);
    } catch (NumberFormatException e) {
      throw new Problem(option + " " + text + " is not a number", e);
    }
  }

  /** Prints facts about the service, named as in the contract. */
  private static void info(Takewright client) {
    GetServerInfoResponse facts = client.info();
    line("fact", "value");
    line("version", facts.getVersion());
    facts.getGrantedFoldersList().forEach(folder -> line("granted_folders", folder));
    facts
        .getLimits()
        .getAllFields()
        .forEach((limit, value) -> line(limit.getName(), value.toString()));
    facts.getInputFormatsList().forEach(extension -> line("input_formats", extension));
    facts.getOutputFormatsList().forEach(extension -> line("output_formats", extension));
    if (facts.getHttpPort() != 0) {
      line("http_port", String.valueOf(facts.getHttpPort()));
    }
    line("cores", String.valueOf(facts.getCores()));
  }

  /** Prints one line per region of a take. */
  private static void segment(Takewright client, Path file) throws IOException {
    Takewright.Regions found = client.segment(file, SegmentConfig.getDefaultInstance());
    line("start_s", "onset_s", "end_s", "note");
    int rejected = 0;
    for (Region region : found.regions()) {
      if (region.getStatus() == RegionStatus.REGION_STATUS_KEPT) {
        line(
            seconds(region.getStartFrame(), found.sampleRateHz()),
            seconds(region.getOnsetFrame(), found.sampleRateHz()),
            seconds(region.getEndFrame(), found.sampleRateHz()),
            region.getPitch().getNote());
      } else {
        rejected++;
      }
    }
    if (rejected > 0) {
      System.err.println(rejected + " more sounds were no notes of the instrument");
    }
  }

  /** Prints one line per sample; goes on past a bad file. */
  private static int analyse(Takewright client, List<String> files) {
    line("file", "note", "cents", "level_lufs");
    int failed = 0;
    for (String file : files) {
      try {
        SampleFacts facts = client.analyse(Path.of(file), AnalyseConfig.getDefaultInstance());
        line(
            file,
            facts.getPitch().getNote(),
            facts.hasPitch() ? text("%.1f", facts.getPitch().getCents()) : "",
            facts.hasLevelLufs() ? text("%.1f", facts.getLevelLufs()) : "");
      } catch (StatusRuntimeException | Problem | IOException e) {
        if (e instanceof StatusRuntimeException refused && isAboutConnection(refused.getStatus())) {
          throw refused;
        }
        failed++;
        String message = explain(e, client.server());
        boolean isNamed = message.contains(Path.of(file).getFileName().toString());
        say(isNamed ? message : file + ": " + message);
      }
    }
    return failed == 0 ? 0 : failed < files.size() ? 1 : 2;
  }

  /** Whether no other file will fare better. */
  private static boolean isAboutConnection(Status status) {
    return switch (status.getCode()) {
      case UNAVAILABLE, UNAUTHENTICATED -> true;
      default -> false;
    };
  }

  private void denoise(Takewright client, Path in, Path out) throws IOException {
    DenoiseConfig.Builder config = DenoiseConfig.newBuilder();
    Double amountDb = number("--amount-db", null);
    if (amountDb != null) {
      config.setAmountDb(amountDb);
    }
    DenoiseReport report = client.denoise(in, out, config.build());
    line("floor_before_dbfs", "floor_after_dbfs", "flags");
    line(
        report.hasFloorBeforeDbfs() ? text("%.1f", report.getFloorBeforeDbfs()) : "",
        report.hasFloorAfterDbfs() ? text("%.1f", report.getFloorAfterDbfs()) : "",
        flagWords(report.getFlagsList()));
  }

  private void retune(Takewright client, Path in, Path out) throws IOException {
    RetuneConfig.Builder config = RetuneConfig.newBuilder();
    Double cents = number("--cents", null);
    if (cents != null) {
      config.setCents(cents);
    }
    RetuneReport report = client.retune(in, out, config.build());
    line("note", "moved_cents", "flags");
    line(
        report.getBefore().getNote(),
        text("%.1f", report.getMovedCents()),
        flagWords(report.getFlagsList()));
  }

  private void layer(Takewright client, Path in, Path out) throws IOException {
    LayerConfig.Builder config = LayerConfig.newBuilder();
    Double wetDb = number("--wet-db", null);
    if (wetDb != null) {
      config.setWetDb(wetDb);
    }
    LayerReport report = client.layer(in, out, config.build());
    line("frames", "gain_db");
    line(String.valueOf(report.getFrames()), text("%.1f", report.getGainDb()));
  }

  /** Prints the name for some facts, or the facts in a name. */
  private void name(Takewright client) {
    if (words.size() == 1) {
      NameFacts.Builder facts = NameFacts.newBuilder();
      options.forEach(
          (option, value) -> {
            switch (option) {
              case "--library" -> facts.setLibrary(value);
              case "--articulation" -> facts.setArticulation(value);
              case "--layer" -> facts.setLayer(value);
              case "--midi" -> facts.setMidi(number(option, 0.0).intValue());
              case "--dynamic" -> facts.setDynamic(value);
              case "--rr" -> facts.setRr(number(option, 0.0).intValue());
              default -> {}
            }
          });
      line(client.formatName(facts.build()));
      return;
    }
    NameFacts facts = client.parseName(words.get(1));
    line("library", "articulation", "layer", "midi", "dynamic", "rr");
    line(
        facts.getLibrary(),
        facts.getArticulation(),
        facts.getLayer(),
        facts.hasMidi() ? String.valueOf(facts.getMidi()) : "",
        facts.getDynamic(),
        facts.hasRr() ? String.valueOf(facts.getRr()) : "");
  }

  /** Prints the id of a build, its progress and its result. */
  private static void watch(Takewright client, String id) {
    line("build", id);
    for (Iterator<WatchBuildResponse> all = client.watchBuild(id); all.hasNext(); ) {
      WatchBuildResponse response = all.next();
      if (response.hasProgress()) {
        BuildProgress progress = response.getProgress();
        line(
            "progress",
            text("%.2f", progress.getDone()),
            word(progress.getStep(), "BUILD_STEP_"),
            progress.getTake());
      } else if (response.hasResult()) {
        BuildResult result = response.getResult();
        result.getWarningsList().forEach(warning -> System.err.println("warning: " + warning));
        line(
            "result",
            String.valueOf(result.getSamples()),
            String.valueOf(result.getMissing()),
            String.valueOf(result.getFlagged()),
            String.valueOf(result.getLeftOut()),
            result.getIndexFile());
      }
    }
  }

  /** Prints one line per note during the session; a later line with its number replaces it. */
  private void follow(Takewright client, Path sheet) throws IOException, InterruptedException {
    PcmFormat format = format(options.getOrDefault("--pcm", ""));
    FollowSessionConfig config =
        FollowSessionConfig.newBuilder()
            .setSheetText(read(sheet))
            .setTake(options.getOrDefault("--take", ""))
            .setFormat(format)
            .build();
    Backlog audio = new Backlog();
    Thread reader = new Thread(() -> audio.fill(System.in), "recorder");
    reader.setDaemon(true);
    reader.start();
    new Follow(client, config, audio, r -> print(r, format.getSampleRateHz()), Client::say).run();
  }

  private static String read(Path file) {
    try {
      return Files.readString(file);
    } catch (IOException e) {
      throw new Problem(file + " cannot be read", e);
    }
  }

  private static PcmFormat format(String pcm) {
    if (pcm.isEmpty()) {
      throw new Problem("follow needs --pcm, for instance --pcm int24,48000,2");
    }
    try {
      String[] parts = pcm.split(",", -1);
      if (parts.length != 3) {
        throw new IllegalArgumentException();
      }
      return PcmFormat.newBuilder()
          .setEncoding(PcmEncoding.valueOf("PCM_ENCODING_" + parts[0].toUpperCase(Locale.ROOT)))
          .setSampleRateHz(Integer.parseInt(parts[1]))
          .setChannels(Integer.parseInt(parts[2]))
          .build();
    } catch (IllegalArgumentException e) {
      throw new Problem(
          "--pcm " + pcm + " is not of the form int24,48000,2 (encoding, hertz, channels)", e);
    }
  }

  private static void print(FollowSessionResponse answer, int rate) {
    if (answer.hasNote()) {
      NoteHeard note = answer.getNote();
      line(
          "note",
          String.valueOf(note.getNumber()),
          seconds(note.getOnsetFrame(), rate),
          seconds(note.getEndFrame(), rate),
          note.getPitch().getNote(),
          note.hasPitch() ? text("%.1f", note.getPitch().getCents()) : "",
          word(note.getStatus(), "NOTE_STATUS_"),
          note.hasCell() ? name(note.getCell()) : "",
          flagWords(note.getFlagsList()));
    } else if (answer.hasMissing()) {
      List<Cell> cells = answer.getMissing().getCellsList();
      String names = cells.stream().map(Client::name).collect(Collectors.joining(", "));
      line("missing", String.valueOf(cells.size()), names);
    }
  }

  /** An enum's value as a word: without its prefix, in lower case. */
  private static String word(Enum<?> value, String prefix) {
    return value.name().replace(prefix, "").toLowerCase(Locale.ROOT);
  }

  private static String flagWords(List<Flag> flags) {
    return flags.stream().map(flag -> word(flag, "FLAG_")).collect(Collectors.joining(" "));
  }

  private static String name(Cell cell) {
    String note = cell.hasMidi() ? cell.getMidi() + " " : "";
    return note + (cell.getDynamic() + " rr" + cell.getRr()).strip();
  }

  private static String seconds(long frame, int rate) {
    return text("%.6f", (double) frame / rate);
  }

  /** As the other clients round: Java's formatter would round the shortest decimal instead. */
  private static String text(String format, double value) {
    return String.format(Locale.ROOT, format, new BigDecimal(value));
  }

  /** Prints fields, separated by tabs. Ends quietly where whoever read the lines has gone. */
  private static void line(String... fields) {
    System.out.println(String.join("\t", fields));
    if (System.out.checkError()) {
      Runtime.getRuntime().halt(CLOSED_PIPE);
    }
  }

  private static void say(String message) {
    System.err.println("takewright: " + message);
  }

  private static String explain(Exception problem, String server) {
    if (problem instanceof StatusRuntimeException refused) {
      return Takewright.explain(server, refused.getStatus());
    }
    if (problem instanceof NoSuchFileException) {
      return problem.getMessage() + " does not exist";
    }
    return problem instanceof Problem ? problem.getMessage() : "failed: " + problem.getMessage();
  }
}
