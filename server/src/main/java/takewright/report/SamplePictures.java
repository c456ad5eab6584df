package takewright.report;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import takewright.audio.AudioFile;
import takewright.audio.Clip;
import takewright.denoise.Denoise;
import takewright.denoise.DenoiseSettings;
import takewright.denoise.NoiseProfile;
import takewright.library.IndexRow;
import takewright.library.Sheet;
import takewright.library.TakeHeard;

/**
 * What the page shows and plays of one sample: small pictures of all, and sounds of those that need
 * an ear. Made once: a picture that is younger than its sample is right.
 */
final class SamplePictures {
  /** Where the pictures are; another name when they change, so that old ones are made again. */
  static final String PICTURES = "pictures-1";

  /** Where the sounds are. */
  static final String SOUNDS = "sounds-1";

  /** Columns of an outline: what a laptop's screen has for it, and of a spectrum. */
  private static final int OUTLINE = 480;

  private static final int SPECTRUM = 128;

  /**
   * What of the take is drawn on either side of a region, in seconds: enough to see a wrong cut.
   */
  private static final double AROUND_S = 0.3;

  /** What denoising hears on either side, in seconds, as when the sample was made. */
  private static final double CONTEXT_S = 0.5;

  /** The longest sound kept, in seconds: what is wrong is heard by then. */
  private static final double LONGEST_S = 12;

  /** A loop is heard from this long before its end until this long after, in seconds. */
  private static final double LOOP_S = 2.5;

  /**
   * Residue is so soft that nobody hears it: it is raised, but its peak only to this (-20 dBFS).
   */
  private static final double RESIDUE_PEAK = 0.1;

  private final Sheet sheet;
  private final Path folder;
  private final Path report;
  private final List<TakeHeard> takes;
  private final boolean allSounds;

  SamplePictures(Sheet sheet, Path folder, Path report, List<TakeHeard> takes, boolean allSounds) {
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

  /** Whether sounds are kept for it: all may be wanted, and flagged ones need an ear. */
  boolean hasSounds(IndexRow row) {
    return allSounds || !row.flags().isEmpty();
  }

  /** Makes what is missing or older than the sample. */
  void make(IndexRow row) throws IOException {
    Path sample = folder.resolve(row.file());
    Path picture = report.resolve(PICTURES).resolve(script(row.file()));
    Path sound = report.resolve(SOUNDS).resolve(script(row.file()));
    boolean draw = isOlder(picture, sample);
    boolean play = hasSounds(row) && isOlder(sound, sample);
    TakeHeard heard = heard(row);
    if (heard == null || !draw && !play) {
      return;
    }
    Clip after;
    try (AudioFile file = AudioFile.open(sample)) {
      after = Clip.read(file, (int) file.frames());
    }
    try (AudioFile take = AudioFile.open(file(heard, row))) {
      if (draw) {
        PageData.write(picture, "picture", row.file(), picture(row, take, after, heard));
      }
      if (play) {
        PageData.write(sound, "sound", row.file(), sound(row, take, after, heard));
      }
    }
  }

  private static boolean isOlder(Path made, Path sample) throws IOException {
    return !Files.exists(made)
        || Files.getLastModifiedTime(made).compareTo(Files.getLastModifiedTime(sample)) < 0;
  }

  private TakeHeard heard(IndexRow row) {
    for (TakeHeard heard : takes) {
      if (heard.take().name().equals(row.take())
          && heard.take().articulation().equals(row.articulation())) {
        return heard;
      }
    }
    return null;
  }

  /** The microphone that a layer was recorded by, or made from. */
  private static Path file(TakeHeard heard, IndexRow row) {
    return heard.take().files().getOrDefault(row.layer(), heard.take().mainFile());
  }

  private static Clip read(AudioFile file, double fromS, double toS) throws IOException {
    long from = Math.max(0, Math.round(fromS * file.sampleRate()));
    long to = Math.min(file.frames(), Math.round(toS * file.sampleRate()));
    file.seek(from);
    return Clip.read(file, (int) Math.max(0, to - from));
  }

  private Map<String, Object> picture(IndexRow row, AudioFile take, Clip after, TakeHeard heard)
      throws IOException {
    double fromS = Math.max(0, row.startS() - AROUND_S);
    Clip wide = read(take, fromS, row.endS() + AROUND_S);
    int rate = wide.sampleRate();
    float[] around = wide.mono();
    int start = (int) Math.round((row.startS() - fromS) * rate);
    int end = Math.min(around.length, (int) Math.round((row.endS() - fromS) * rate));
    float[] cut = java.util.Arrays.copyOfRange(around, start, Math.max(start, end));
    Map<String, Object> before = side(cut, rate, row, row.centsBefore());
    before.put("fromS", fromS);
    before.put("aroundS", (double) around.length / rate);
    before.put("around", Waveform.of(around, OUTLINE));
    Map<String, Object> content = new LinkedHashMap<>();
    content.put("before", before);
    content.put("after", side(after.mono(), after.sampleRate(), row, 0.0));
    content.put("sampleRate", after.sampleRate());
    content.put("fadeInS", heard.fadeInS(row.onsetS() - row.startS()));
    content.put("fadeOutS", heard.fadeOutS());
    return content;
  }

  /** What is drawn of the take's stretch and of the sample alike. */
  private Map<String, Object> side(float[] x, int rate, IndexRow row, Double cents) {
    Map<String, Object> side = new LinkedHashMap<>();
    side.put("seconds", (double) x.length / rate);
    side.put("outline", Waveform.of(x, OUTLINE));
    side.put("rmsDbfs", rmsDbfs(x));
    side.put("spectrum", Png.grey(SPECTRUM, Spectrogram.BANDS, Spectrogram.of(x, rate, SPECTRUM)));
    if (row.midi() != null && cents != null && Math.abs(cents) < 1200) {
      double hz = sheet.tuningHz() * Math.pow(2, (row.midi() - 69 + cents / 100) / 12);
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

  private static double rmsDbfs(float[] x) {
    double sum = 0;
    for (float value : x) {
      sum += value * value;
    }
    return Math.round(100 * 10 * Math.log10(Math.max(1e-12, sum / Math.max(1, x.length)))) / 100.0;
  }

  private Map<String, Object> sound(IndexRow row, AudioFile take, Clip after, TakeHeard heard)
      throws IOException {
    double endS = Math.min(row.endS(), row.startS() + LONGEST_S);
    double fromS = Math.max(0, row.startS() - CONTEXT_S);
    Clip wide = read(take, fromS, endS + CONTEXT_S);
    int rate = wide.sampleRate();
    int start = (int) Math.round((row.startS() - fromS) * rate);
    int frames = Math.min(wide.frames() - start, (int) Math.round((endS - row.startS()) * rate));
    float[] raw = java.util.Arrays.copyOfRange(wide.mono(), start, start + frames);
    Map<String, Object> content = new LinkedHashMap<>();
    content.put("before", SoundBytes.wav(raw, frames, rate, 1));
    NoiseProfile profile = heard.profile(row.layer());
    if (profile != null) {
      DenoiseSettings settings = new DenoiseSettings(DenoiseSettings.DEFAULTS.amountDb(), profile);
      float[] clean = Denoise.apply(wide, settings).audio().mono();
      float most = 1e-5f;
      float[] residue = new float[frames];
      for (int i = 0; i < frames; i++) {
        residue[i] = raw[i] - clean[start + i];
        most = Math.max(most, Math.abs(residue[i]));
      }
      double gain = Math.max(1, RESIDUE_PEAK / most);
      content.put("residue", SoundBytes.wav(residue, frames, rate, gain));
      content.put("residueDb", Math.round(20 * Math.log10(gain)));
    }
    if (row.loopStart() != null && row.loopEnd() != null && row.loopEnd() < after.frames()) {
      content.put("loop", loop(after, row.loopStart().intValue(), row.loopEnd().intValue()));
    }
    return content;
  }

  /** The sound as a sampler plays it past the end of its loop. */
  private static byte[] loop(Clip after, int loopStart, int loopEnd) {
    int around = (int) (LOOP_S * after.sampleRate());
    int first = Math.max(0, loopEnd + 1 - around);
    float[] x = after.mono();
    float[] heard = new float[loopEnd + 1 - first + around];
    int at = first;
    for (int i = 0; i < heard.length; i++) {
      heard[i] = x[at];
      at = at == loopEnd ? loopStart : at + 1;
    }
    return SoundBytes.wav(heard, heard.length, after.sampleRate(), 1);
  }
}
