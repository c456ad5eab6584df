package takewright.audit;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.Collections;
import java.util.HashMap;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.Random;
import java.util.TreeSet;
import java.util.function.IntFunction;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import takewright.audio.Clip;
import takewright.audio.WavChunks;
import takewright.audio.write.WavWriter;
import takewright.name.NoteNames;
import takewright.retune.Retune;
import takewright.retune.RetuneSettings;
import takewright.testing.Ear;
import takewright.testing.Recordings;

/**
 * Audits of folders made from the recordings as other people may have made theirs: moved by an
 * octave, in another tuning, at another level and rate, in a room, each note a little off, and
 * named in their own way. Five to eight faults are planted in each.
 *
 * <p>The recordings themselves are out of tune by up to 25 cents, differ by 8 dB and begin up to 13
 * ms late. So that a folder holds the planted faults and no others, what NumPy hears of each
 * recording is taken out first.
 */
class AuditOfMadeFoldersTest {
  /** What can be wrong, and what it is found as. */
  private enum Fault {
    SWAPPED("wrong_note"),
    OCTAVE("wrong_note"),
    SEMITONE("wrong_note"),
    DETUNED("tuning"),
    LEVEL("level"),
    LATE("start"),
    COPIED("duplicate"),
    CLIPPED("clipped"),
    SILENT("silent"),
    OTHER_RATE("sample_rate"),
    UNNAMED("name_unreadable"),
    BROKEN("unreadable"),
    DROPOUT("dropout");

    private final String found;

    Fault(String found) {
      this.found = found;
    }
  }

  private static final class Sample {
    private final int midi;
    private String name;
    private int rate;
    private float[] audio;

    Sample(int midi, String name, int rate, float[] audio) {
      this.midi = midi;
      this.name = name;
      this.rate = rate;
      this.audio = audio;
    }

    void moved(double cents, int to) {
      audio = Retune.apply(Clip.of(rate, audio), new RetuneSettings(cents, to)).mono().clone();
      rate = to;
    }

    void gained(double db) {
      float gain = (float) Math.pow(10, db / 20);
      for (int i = 0; i < audio.length; i++) {
        audio[i] *= gain;
      }
    }

    float peak() {
      float peak = 0;
      for (float v : audio) {
        peak = Math.max(peak, Math.abs(v));
      }
      return peak;
    }

    void later(int frames) {
      float[] later = new float[audio.length + frames];
      System.arraycopy(audio, 0, later, frames, audio.length);
      audio = later;
    }
  }

  /**
   * A recording as others hear it.
   *
   * @param cents above the note that it says, the mean over all that is read of it: some of the
   *     violin's wander by 20 cents
   * @param onset first frame within 40 dB of its peak
   */
  private record Natural(double cents, int onset) {}

  /** Of each recording, in seconds. */
  private static final int LENGTH_S = 5;

  private static final Map<String, List<Natural>> NATURAL = new HashMap<>();

  @TempDir Path folder;
  @TempDir Path outside;
  private Random random;
  private double roomDbfs;
  private final List<Sample> samples = new ArrayList<>();
  private final TreeSet<String> expected = new TreeSet<>();

  /** What follows from a fault, and may be found as well. */
  private final TreeSet<String> allowed = new TreeSet<>();

  @ParameterizedTest
  @CsvSource({
    "violin, 1",
    "contrabass, 4",
    "saxophone, 6",
    // Of 691 to 735, drawn after the last threshold was set: all but 719 were right at the first
    // run, on whole recordings.
    "violin, 691",
    "contrabass, 692",
    "saxophone, 693"
  })
  void whatIsPlantedIsFoundAndNothingElse(String instrument, int seed) throws IOException {
    random = new Random(seed);
    int middleC = 3 + random.nextInt(3);
    NoteNames names =
        new NoteNames(middleC, random.nextBoolean(), random.nextBoolean() ? "#" : "s");
    int style = seed % 4;
    IntFunction<String> name = midi -> name(style, names, midi);
    make(instrument, name);
    plant(name);
    for (Sample sample : samples) {
      Path file = folder.resolve(sample.name);
      if (sample.audio == null) {
        Files.writeString(file, "no audio in here");
      } else {
        int bits = seed % 2 == 0 ? 16 : 24;
        WavWriter.write(file, Clip.of(sample.rate, sample.audio), bits, WavChunks.NONE);
      }
    }
    TreeSet<String> found = new TreeSet<>();
    List<Finding> findings = new ArrayList<>();
    AuditReport report = Audit.run(folder, 440, findings::add, () -> false);
    findings.forEach(f -> found.add(f.file() + " " + f.finding().word()));
    found.removeAll(allowed);
    assertEquals(expected, found, findings.toString());
    assertEquals(style == 3 ? "" : "C" + middleC, report.middleC());
    assertTrue(report.agreeing() >= report.named() - expected.size(), report.toString());
  }

  private static List<Natural> natural(String instrument, Path folder) {
    return NATURAL.computeIfAbsent(
        instrument,
        of -> {
          StringBuilder script =
              new StringBuilder(
                  "y = []\n"
                      + "def hear(file, hz):\n"
                      + "    x, r = mono(file)\n"
                      + "    a = np.abs(x)\n"
                      + "    y.extend([mean_cents(file, hz, end="
                      + LENGTH_S
                      + "), np.argmax(a > 0.01 * a.max())])\n");
          List<Recordings.Note> notes = Recordings.of(instrument);
          for (Recordings.Note note : notes) {
            double hz = 440 * Math.pow(2, (note.midi() - 69) / 12.0);
            script.append("hear(").append(Ear.quoted(note.file())).append(", ").append(hz);
            script.append(")\n");
          }
          double[] heard = new Ear(folder).y(script.toString());
          List<Natural> natural = new ArrayList<>();
          for (int i = 0; i < notes.size(); i++) {
            natural.add(new Natural(heard[2 * i], (int) heard[2 * i + 1]));
          }
          return natural;
        });
  }

  private static String name(int style, NoteNames names, int midi) {
    String note = names.spell(midi);
    return switch (style) {
      case 0 -> note + ".wav";
      case 1 -> "Larkfell_sus_close_" + note + "_mf_rr1.wav";
      case 2 -> "fen-" + note.substring(0, 1).toLowerCase(Locale.ROOT) + note.substring(1) + ".wav";
      default -> String.format(Locale.ROOT, "fen_%03d_f.wav", midi);
    };
  }

  /** The samples as they should be, and what is missing of the saxophone's semitones. */
  private void make(String instrument, IntFunction<String> name) throws IOException {
    int rate = random.nextBoolean() ? 44_100 : 48_000;
    int octaves = instrument.equals("contrabass") ? 0 : random.nextInt(3) - 1;
    double tuning = 30 * random.nextDouble() - 15;
    roomDbfs = -85 + 20 * random.nextDouble();
    double peak = -6 - 12 * random.nextDouble();
    float loudest = 0;
    List<Recordings.Note> notes = Recordings.of(instrument);
    List<Natural> natural = natural(instrument, outside);
    for (int i = 0; i < notes.size(); i++) {
      Natural heard = natural.get(i);
      int midi = notes.get(i).midi() + 12 * octaves;
      Clip clip = notes.get(i).read(LENGTH_S);
      int first = Math.max(0, heard.onset() - clip.sampleRate() / 500);
      float[] audio = clip.slice(first, clip.frames()).mono().clone();
      Sample sample = new Sample(midi, name.apply(midi), clip.sampleRate(), audio);
      if (octaves != 0) {
        sample.moved(1200 * octaves, sample.rate);
      }
      sample.moved(tuning + 4 * random.nextGaussian() - heard.cents(), rate);
      sample.later((int) (0.002 * rate * Math.abs(random.nextGaussian())));
      samples.add(sample);
    }
    double[] lufs = lufs();
    for (int i = 0; i < samples.size(); i++) {
      Sample sample = samples.get(i);
      sample.gained(0.7 * random.nextGaussian() - 23 - lufs[i]);
      loudest = Math.max(loudest, sample.peak());
    }
    for (Sample sample : samples) {
      sample.gained(peak - 20 * Math.log10(loudest));
      addRoom(sample.audio, sample.audio.length);
    }
    if (instrument.equals("saxophone")) {
      expected.add(name.apply(57 + 12 * octaves) + " missing");
    }
  }

  /** How loud the samples are by FFmpeg's meter: an octave lower they are softer by themselves. */
  private double[] lufs() throws IOException {
    List<String> files = new ArrayList<>();
    for (int i = 0; i < samples.size(); i++) {
      Path file = outside.resolve("moved" + i + ".wav");
      Sample sample = samples.get(i);
      WavWriter.write(file, Clip.of(sample.rate, sample.audio), 24, WavChunks.NONE);
      files.add(Ear.quoted(file));
    }
    return new Ear(outside).y("y = all_lufs([" + String.join(", ", files) + "])");
  }

  /** Adds noise that falls with frequency, with some hiss. */
  private void addRoom(float[] audio, int length) {
    double low = 0;
    // The RMS of what is added before it is scaled.
    double scale = Math.pow(10, roomDbfs / 20) / 0.205;
    for (int i = 0; i < length; i++) {
      double white = random.nextDouble() - 0.5;
      low += 0.02 * (white - low);
      audio[i] += (float) (scale * (6 * low + 0.35 * white));
    }
  }

  private void plant(IntFunction<String> name) {
    List<Fault> faults = new ArrayList<>(List.of(Fault.values()));
    Collections.shuffle(faults, random);
    List<Sample> free = new ArrayList<>(samples);
    Collections.shuffle(free, random);
    for (Fault fault : faults.subList(0, samples.size() > 20 ? 8 : 5)) {
      Sample sample = free.remove(0);
      int rate = sample.rate;
      double way = random.nextBoolean() ? 1 : -1;
      switch (fault) {
        case SWAPPED -> {
          Sample other = free.remove(0);
          float[] audio = sample.audio;
          sample.audio = other.audio;
          other.audio = audio;
          expected.add(other.name + " wrong_note");
        }
        case OCTAVE -> sample.moved(sample.midi > 60 ? -1200 : 1200, rate);
        case SEMITONE -> sample.moved(100 * way, rate);
        // Beyond the 40 cents that are found whatever the spread, less what the sample is off
        // itself.
        case DETUNED -> sample.moved(48 * way, rate);
        case LEVEL -> sample.gained(5.99 * way);
        case LATE -> {
          sample.later(rate / 25);
          addRoom(sample.audio, rate / 25);
        }
        case COPIED -> {
          String second = sample.name.replace(".wav", "_rr2.wav").replace("_rr1_rr2", "_rr2");
          sample = new Sample(sample.midi, second, rate, sample.audio.clone());
          sample.later(rate / 100);
          sample.gained(2 * way);
          samples.add(sample);
          allowed.add(second + " level");
        }
        case CLIPPED -> {
          // Of a sound that is higher above than below, the middle moves.
          allowed.add(sample.name + " dc");
          float limit = 0.7f * sample.peak();
          for (int i = 0; i < sample.audio.length; i++) {
            sample.audio[i] = Math.max(-limit, Math.min(limit, sample.audio[i]));
          }
        }
        case SILENT -> Arrays.fill(sample.audio, 0);
        case OTHER_RATE -> sample.moved(0, rate == 48_000 ? 44_100 : 48_000);
        case UNNAMED -> {
          allowed.add(sample.name + " missing");
          sample.name = "take k new.wav";
        }
        case BROKEN -> sample.audio = null;
        case DROPOUT ->
            Arrays.fill(
                sample.audio, sample.audio.length / 3, sample.audio.length / 3 + rate / 250, 0);
      }
      expected.add(sample.name + " " + fault.found);
    }
  }
}
