package takewright.report;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.nio.file.attribute.FileTime;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.Set;
import java.util.stream.Collectors;
import takewright.audio.AudioFile;
import takewright.audio.Recording;
import takewright.audio.original.AtomicFile;
import takewright.dsp.Decibels;
import takewright.library.folder.IndexRow;
import takewright.library.take.TakeHeard;
import takewright.sheet.Sheet;
import takewright.sheet.cell.CellStatus;

/**
 * What the page shows and plays of one region: small pictures of all, and sounds of some. What is
 * newer than its sample is kept.
 */
final class SamplePictures {
  /** Folder of the pictures; renamed when their format changes, so that old ones are replaced. */
  static final String PICTURES = "pictures";

  /** Folder of the sounds. */
  static final String SOUNDS = "sounds";

  /** Columns of a waveform (as many as a laptop's screen has for it) and of a spectrum. */
  private static final int OUTLINE = 480;

  private static final int SPECTRUM = 96;

  /**
   * How much of the take is drawn on either side of a region, in seconds: enough to see a wrong
   * cut.
   */
  private static final double AROUND_S = 0.3;

  private final Sheet sheet;
  private final Path folder;
  private final Path report;
  private final HeardTakes takes;
  private final boolean allSounds;

  SamplePictures(Sheet sheet, Path folder, Path report, HeardTakes takes, boolean allSounds) {
    this.sheet = sheet;
    this.folder = folder;
    this.report = report;
    this.takes = takes;
    this.allSounds = allSounds;
  }

  /** Name of a region's picture and sounds; empty where a row is no region. */
  String script(IndexRow row) {
    if (row.file() != null) {
      return row.file().replaceAll("\\.wav$", "") + ".js";
    }
    TakeHeard heard = row.stretch().startS() == null ? null : takes.take(row);
    return heard == null
        ? ""
        : String.format(
            Locale.ROOT,
            "take %d from %d to %d.js",
            heard.take().index() + 1,
            Math.round(1000 * row.stretch().startS()),
            Math.round(1000 * row.stretch().endS()));
  }

  /** Whether a row has a picture from the start: samples and other attempts at notes. */
  static boolean isDrawn(IndexRow row) {
    return row.file() != null || isAttempt(row);
  }

  private static boolean isAttempt(IndexRow row) {
    return row.status() == CellStatus.RETAKE || row.status() == CellStatus.EXTRA;
  }

  /**
   * Whether a row has sounds from the start: all if requested; otherwise flagged samples, and notes
   * that were played several times, to compare them.
   *
   * @param attempts names of the notes that were, as {@link #note} gives them
   */
  boolean hasSounds(IndexRow row, Set<String> attempts) {
    if (allSounds || !isDrawn(row)) {
      return isDrawn(row);
    }
    TakeHeard heard = takes.take(row);
    boolean recorded = heard != null && heard.take().main().equals(microphone(heard, row));
    return row.file() != null && !row.flags().isEmpty()
        || isAttempt(row)
        || recorded && isMain(heard, row) && attempts.contains(note(row));
  }

  /** Whether a sample is of a microphone and not of a layer made from it. */
  private static boolean isMain(TakeHeard heard, IndexRow row) {
    return row.cell().layer() == null
        || row.cell().layer().isEmpty()
        || heard.take().files().containsKey(row.cell().layer());
  }

  /** The notes that were played more often than they are kept. */
  static Set<String> attempts(List<IndexRow> rows) {
    return rows.stream()
        .filter(row -> isAttempt(row) && row.cell().midi() != null)
        .map(SamplePictures::note)
        .collect(Collectors.toSet());
  }

  private static String note(IndexRow row) {
    return row.stretch().take() + '\n' + row.cell().midi() + '\n' + row.cell().dynamic();
  }

  /** Draws what is missing or older than the sample. */
  void make(IndexRow row, boolean withSounds) throws IOException {
    Path made = made(row);
    if (made == null) {
      return;
    }
    for (String part : withSounds ? List.of(PICTURES, SOUNDS) : List.of(PICTURES)) {
      Path script = report.resolve(part).resolve(script(row));
      FileTime time = Files.getLastModifiedTime(made);
      if (!Files.exists(script) || Files.getLastModifiedTime(script).compareTo(time) < 0) {
        AtomicFile.write(script, content(part, row));
        // The time of what it shows: a sample that is made again meanwhile is newer.
        Files.setLastModifiedTime(script, time);
      }
    }
  }

  /** What its picture and sounds are made from: its sample or its take; null if it is no region. */
  private Path made(IndexRow row) {
    TakeHeard heard = row.stretch().startS() == null ? null : takes.take(row);
    if (heard == null) {
      return null;
    }
    return row.file() == null ? microphone(heard, row).firstFile() : folder.resolve(row.file());
  }

  /**
   * A script of the page.
   *
   * @param part {@link #PICTURES} or {@link #SOUNDS}
   * @param row a region
   */
  byte[] content(String part, IndexRow row) throws IOException {
    TakeHeard heard = takes.take(row);
    Mono after = null;
    if (row.file() != null) {
      try (AudioFile file = AudioFile.openChecked(folder.resolve(row.file()))) {
        after = Mono.read(file, 0, file.frames());
      }
    }
    try (AudioFile take = microphone(heard, row).open()) {
      return part.equals(PICTURES)
          ? PageData.script("picture", script(row), picture(row, take, after, heard))
          : PageData.script(
              "sound",
              script(row),
              SampleSounds.of(row, take, after, takes.room(heard, row.cell().layer())));
    }
  }

  /** The microphone that a layer was recorded by, or made from. */
  private static Recording microphone(TakeHeard heard, IndexRow row) {
    return heard.take().files().getOrDefault(row.cell().layer(), heard.take().main());
  }

  private Map<String, Object> picture(IndexRow row, AudioFile take, Mono after, TakeHeard heard)
      throws IOException {
    int rate = take.sampleRate();
    long start = Math.round(row.stretch().startS() * rate);
    long end = Math.round(row.stretch().endS() * rate);
    long from = Math.max(0, start - Math.round(AROUND_S * rate));
    Mono around = Mono.read(take, from, end + Math.round(AROUND_S * rate));
    Map<String, Object> before =
        side(around.part(start - from, end - from), row, row.measures().cents().before());
    before.put("fromS", (double) from / rate);
    before.put("aroundS", around.seconds());
    outline(before, around.samples());
    Map<String, Object> content = new LinkedHashMap<>();
    content.put("before", before);
    if (after != null) {
      Map<String, Object> made = side(after, row, 0.0);
      outline(made, after.samples());
      content.put("after", made);
      content.put("sampleRate", after.sampleRate());
    }
    content.put("fadeInS", heard.fadeInS(row.stretch().onsetS() - row.stretch().startS()));
    content.put("fadeOutS", heard.fadeOutS());
    return content;
  }

  /** The drawing of a sound, for the take's stretch and for the sample. */
  private Map<String, Object> side(Mono sound, IndexRow row, Double cents) {
    float[] x = sound.samples();
    int rate = sound.sampleRate();
    Map<String, Object> side = new LinkedHashMap<>();
    side.put("seconds", sound.seconds());
    side.put("rmsDbfs", rmsDbfs(x));
    int columns = Spectrogram.columns(x.length, rate, SPECTRUM);
    side.put("spectrum", Png.grey(columns, Spectrogram.BANDS, Spectrogram.of(x, rate, columns)));
    if (row.cell().midi() != null && cents != null && Math.abs(cents) < 1200) {
      double hz = sheet.tuningHz() * Math.pow(2, (row.cell().midi() - 69 + cents / 100) / 12);
      short[] line = PitchLine.of(x, rate, hz);
      Integer[] points = new Integer[line.length];
      for (int i = 0; i < line.length; i++) {
        points[i] = line[i] == PitchLine.NONE ? null : (Integer) (int) Math.round(line[i] + cents);
      }
      side.put("pitchStepS", PitchLine.POINT_S);
      side.put("pitch", points);
    }
    return side;
  }

  /** The waveform in bytes, and its peak: full scale is 1. */
  private static void outline(Map<String, Object> side, float[] x) {
    float peak = Waveform.peak(x);
    side.put("outline", Waveform.of(x, OUTLINE, peak));
    side.put("peak", peak);
  }

  private static double rmsDbfs(float[] x) {
    double even = 0;
    double odd = 0;
    int i = 0;
    // Two sums, which do not wait for one another.
    for (; i + 1 < x.length; i += 2) {
      even += x[i] * x[i];
      odd += x[i + 1] * x[i + 1];
    }
    double sum = even + odd + (i < x.length ? x[i] * x[i] : 0);
    return Math.round(100 * Decibels.fromPower(Math.max(1e-12, sum / Math.max(1, x.length))))
        / 100.0;
  }
}
