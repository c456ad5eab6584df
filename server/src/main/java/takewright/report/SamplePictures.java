package takewright.report;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.LinkedHashMap;
import java.util.Map;
import takewright.audio.AudioFile;
import takewright.audio.Recording;
import takewright.library.folder.IndexRow;
import takewright.library.take.TakeHeard;
import takewright.sheet.Sheet;

/**
 * What the page shows and plays of one sample: small pictures of all, and sounds of flagged ones. A
 * picture newer than its sample is kept.
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
  private final Heard takes;
  private final boolean allSounds;

  SamplePictures(Sheet sheet, Path folder, Path report, Heard takes, boolean allSounds) {
    this.sheet = sheet;
    this.folder = folder;
    this.report = report;
    this.takes = takes;
    this.allSounds = allSounds;
  }

  /** Name of a sample's picture and sound. */
  static String script(String file) {
    return file.replaceAll("\\.wav$", "") + ".js";
  }

  /** Whether sounds are kept for it: for all if requested, otherwise for flagged ones. */
  boolean hasSounds(IndexRow row) {
    return allSounds || !row.flags().isEmpty();
  }

  /** Draws what is missing or older than the sample. */
  void make(IndexRow row) throws IOException {
    Path sample = folder.resolve(row.file());
    Path picture = report.resolve(PICTURES).resolve(script(row.file()));
    Path sound = report.resolve(SOUNDS).resolve(script(row.file()));
    boolean draw = isOlder(picture, sample);
    boolean play = hasSounds(row) && isOlder(sound, sample);
    TakeHeard heard = takes.take(row);
    if (heard == null || !draw && !play) {
      return;
    }
    Mono after;
    try (AudioFile file = AudioFile.open(sample)) {
      after = Mono.read(file, 0, file.frames());
    }
    try (AudioFile take = microphone(heard, row).open()) {
      if (draw) {
        PageData.write(picture, "picture", row.file(), picture(row, take, after, heard));
      }
      if (play) {
        PageData.write(
            sound,
            "sound",
            row.file(),
            SampleSounds.of(row, take, after, takes.room(heard, row.cell().layer())));
      }
    }
  }

  private static boolean isOlder(Path made, Path sample) throws IOException {
    return !Files.exists(made)
        || Files.getLastModifiedTime(made).compareTo(Files.getLastModifiedTime(sample)) < 0;
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
    Map<String, Object> made = side(after, row, 0.0);
    outline(made, after.samples());
    content.put("after", made);
    content.put("sampleRate", after.sampleRate());
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
    double sum = 0;
    for (float value : x) {
      sum += value * value;
    }
    return Math.round(100 * 10 * Math.log10(Math.max(1e-12, sum / Math.max(1, x.length)))) / 100.0;
  }
}
