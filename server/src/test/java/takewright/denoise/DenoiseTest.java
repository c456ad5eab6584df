package takewright.denoise;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.nio.file.Path;
import java.util.List;
import java.util.Set;
import net.jqwik.api.ForAll;
import net.jqwik.api.Property;
import net.jqwik.api.constraints.IntRange;
import net.jqwik.api.constraints.Size;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.junit.jupiter.params.provider.ValueSource;
import takewright.audio.AudioFile;
import takewright.audio.AudioSource;
import takewright.audio.Clip;
import takewright.denoise.room.NoiseProfile;
import takewright.diagnosis.Flag;
import takewright.dsp.Fft;
import takewright.dsp.Windows;
import takewright.testing.Outside;

class DenoiseTest {
  private static final int RATE = 48000;

  @Test
  void noiseAloneFallsByTheAmountAndKeepsItsTexture() {
    float[] pink = Noise.pink(4 * RATE, -50, 1);
    float[] room = Noise.pink(4 * RATE, -50, 2);
    for (double amount : new double[] {6, 24, 40}) {
      float[] y = run(room, amount, Noise.profile(RATE, pink));
      int from = RATE / 2;
      int to = 7 * RATE / 2;
      assertEquals(
          Noise.level(room, from, to) - amount, Noise.level(y, from, to), 1, "amount " + amount);
      // 1 is the texture of the room itself; gains that chirp reach tens.
      assertEquals(1, kurtosis(y, from, to) / kurtosis(room, from, to), 0.2);
    }
  }

  /** White noise has the same power in every bin, in those at both ends too, which are real. */
  @Test
  void theProfileOfWhiteNoiseIsLevelToBothEnds() {
    int seeds = 8;
    double ends = 0;
    double between = 0;
    for (int seed = 0; seed < seeds; seed++) {
      float[] power = Noise.profile(RATE, Noise.white(12 * RATE, -50, seed)).power();
      ends += power[0] + power[power.length - 1];
      for (int k = 1; k < power.length - 1; k++) {
        between += 2 * power[k] / (power.length - 2);
      }
    }
    // Sixteen means of some 70 independent powers of variance 2: 4 % off by chance.
    assertEquals(1, ends / between, 0.13);
  }

  @Test
  void anAmountOfZeroChangesNothing() {
    float[] x = take(Noise.pink(3 * RATE, -50, 3));
    float[] y = run(x, 0, Noise.profile(RATE, Noise.pink(RATE, -50, 4)));
    assertTrue(Noise.difference(x, y, 0, x.length) < -140);
  }

  @Test
  void aCleanTakeComesOutAsItWentIn() {
    float[] x = take(new float[4 * RATE]);
    DenoiseResult learnt = Denoise.apply(Clip.of(RATE, x), DenoiseSettings.DEFAULTS);
    assertTrue(Noise.difference(x, learnt.audio().channel(0), 0, x.length) < -80);
  }

  @Test
  void aNoteHeldThroughoutIsNotTakenForNoise() {
    float[] x = new float[3 * RATE];
    for (int i = 0; i < x.length; i++) {
      x[i] = (float) (0.2 * Math.sin(2 * Math.PI * 220 * i / RATE));
    }
    DenoiseResult result = Denoise.apply(Clip.of(RATE, x), DenoiseSettings.DEFAULTS);
    assertEquals(Set.of(Flag.NO_ROOM_TONE), result.flags());
    assertTrue(Noise.difference(x, result.audio().channel(0), 0, x.length) < -130);
  }

  @ParameterizedTest
  @CsvSource({"-62", "-50"})
  void theNoiseFoundInATakeIsTheNoiseThatIsThere(double dbfs) throws IOException {
    float[] noise = Noise.pink(12 * RATE, dbfs, 5);
    NoiseProfile learnt = NoiseProfile.learn(Clip.of(RATE, take(noise)).source());
    NoiseProfile known = Noise.profile(RATE, noise);
    assertTrue(learnt.roomTone());
    assertEquals(dbfs, known.levelDbfs(), 0.5);
    assertEquals(dbfs, learnt.levelDbfs(), 1);
    float[] a = learnt.power();
    float[] b = known.power();
    double high = 0;
    for (int k = 1000; k < 4000; k++) {
      high += 10 * Math.log10(a[k] / b[k]) / 3000;
    }
    assertEquals(0, high, 0.3);
  }

  @Property(tries = 12)
  void streamingGivesTheSameSamplesWhateverTheBlocks(
      @ForAll @Size(min = 1, max = 5) List<@IntRange(min = 1, max = 9000) Integer> blocks,
      @ForAll @IntRange(min = 0, max = 40000) int frames)
      throws IOException {
    float[] x = java.util.Arrays.copyOf(take(Noise.pink(RATE, -50, 6)), frames);
    DenoiseSettings settings =
        new DenoiseSettings(24, Noise.profile(RATE, Noise.pink(RATE, -50, 7)));
    Clip whole = Denoise.apply(Clip.of(RATE, x), settings).audio();
    assertEquals(frames, whole.frames());
    AudioSource stream = Denoise.stream(Clip.of(RATE, x).source(), settings);
    float[][] y = new float[1][frames + 1];
    int at = 0;
    for (int i = 0; ; i++) {
      int n = stream.read(y, at, Math.min(blocks.get(i % blocks.size()), frames + 1 - at));
      if (n < 0) {
        break;
      }
      at += n;
    }
    assertEquals(frames, at);
    assertArrayEquals(whole.channel(0), java.util.Arrays.copyOf(y[0], at));
  }

  @ParameterizedTest
  @ValueSource(ints = {1, 2, 3, 8})
  void allChannelsGetOneGain(int channels) {
    float[] x = take(Noise.pink(RATE, -50, 8));
    float[][] all = new float[channels][];
    for (int c = 0; c < channels; c++) {
      all[c] = x.clone();
      for (int i = 0; i < x.length; i++) {
        all[c][i] *= 1 - 0.1f * c;
      }
    }
    Clip clip = Clip.of(RATE, all);
    NoiseProfile profile = NoiseProfile.of(List.of(clip.slice(0, RATE / 5)));
    Clip y = Denoise.apply(clip, new DenoiseSettings(24, profile)).audio();
    assertEquals(channels, y.channels());
    for (int c = 1; c < channels; c++) {
      for (int i = 0; i < x.length; i++) {
        assertEquals(y.channel(0)[i] * (1 - 0.1f * c), y.channel(c)[i], 1e-6);
      }
    }
  }

  @Test
  void theOutputIsAlwaysANumber() {
    NoiseProfile profile = Noise.profile(RATE, Noise.pink(RATE, -50, 9));
    float[] square = new float[RATE];
    float[] constant = new float[RATE];
    float[] broken = Noise.white(RATE, -20, 1);
    for (int i = 0; i < RATE; i++) {
      square[i] = i / 100 % 2 == 0 ? 1 : -1;
      constant[i] = 1;
    }
    broken[1000] = Float.NaN;
    broken[2000] = Float.POSITIVE_INFINITY;
    NoiseProfile none = Noise.profile(RATE, new float[RATE]);
    for (float[] x : new float[][] {square, constant, broken, new float[RATE], new float[1], {}}) {
      for (NoiseProfile p : new NoiseProfile[] {profile, none, null}) {
        for (float y : run(x, 24, p)) {
          assertTrue(Math.abs(y) < 1.5);
        }
      }
    }
  }

  @ParameterizedTest
  @CsvSource({"-62, 1", "-50, 2.5"})
  void aRealNoteInAnInventedRoomComesNearerToTheNote(double dbfs, double gain) throws IOException {
    Path file = Outside.recordings("violin").resolve("A4.wav");
    float[] note;
    int rate;
    try (AudioFile in = AudioFile.open(file)) {
      rate = in.sampleRate();
      note = Clip.read(in, 3 * rate).channel(0);
    }
    int at = 2 * rate;
    float[] clean = new float[at + note.length + rate];
    System.arraycopy(note, 0, clean, at, note.length);
    float[] noise = Noise.pink(clean.length, dbfs, 10);
    float[] noisy = Noise.sum(clean, noise);
    DenoiseResult result = Denoise.apply(Clip.of(rate, noisy), DenoiseSettings.DEFAULTS);
    assertEquals(Set.of(), result.flags());
    float[] y = result.audio().channel(0);
    int end = at + note.length;
    double before = Noise.difference(clean, noisy, at, end);
    double after = Noise.difference(clean, y, at, end);
    assertTrue(after < before - gain, before + " -> " + after);
    // The attack keeps its energy: the note's own, since some of what was there is the room's. What
    // the note's start throws ahead stays below the room.
    int attack = rate / 100;
    double kept = Noise.level(y, at, at + attack);
    assertTrue(kept > Noise.level(clean, at, at + attack) - 0.5);
    assertTrue(kept < Noise.level(noisy, at, at + attack) + 0.5);
    assertTrue(Noise.level(y, at - 3 * attack, at) < Noise.level(noisy, at - 3 * attack, at) + 0.5);
    assertTrue(result.floorAfterDbfs() < result.floorBeforeDbfs() - 18);
  }

  @Test
  void theRoomStaysAtItsFloorUntilANoteBegins() {
    int at = 2 * RATE;
    float[] noise = Noise.pink(4 * RATE, -55, 12);
    float[] x = noise.clone();
    Noise.pluck(x, at, RATE, 330, RATE);
    float[] y = run(x, 24, Noise.profile(RATE, Noise.pink(2 * RATE, -55, 13)));
    // Long frames alone let the noise swell up to its whole level over the 80 ms before.
    for (int ms = 40; ms <= 200; ms += 20) {
      int from = at - ms * RATE / 1000;
      int to = from + RATE / 100;
      assertEquals(Noise.level(noise, from, to) - 24, Noise.level(y, from, to), 1.5, ms + " ms");
    }
    int attack = at + RATE / 100;
    assertEquals(Noise.level(x, at, attack), Noise.level(y, at, attack), 0.5);
  }

  @Test
  void settingsThatDoNotFitAreRefused() {
    Clip clip = Clip.of(44100, new float[1000]);
    NoiseProfile other = Noise.profile(RATE, Noise.pink(RATE, -50, 11));
    assertThrows(
        IllegalArgumentException.class,
        () -> Denoise.stream(clip.source(), DenoiseSettings.DEFAULTS));
    assertThrows(
        IllegalArgumentException.class, () -> Denoise.apply(clip, new DenoiseSettings(24, other)));
    assertThrows(IllegalArgumentException.class, () -> NoiseProfile.of(List.of()));
    assertThrows(
        IllegalArgumentException.class,
        () -> NoiseProfile.of(List.of(Clip.of(RATE, new float[100]))));
    assertThrows(IllegalArgumentException.class, () -> new DenoiseSettings(61, null));
    assertThrows(IllegalArgumentException.class, () -> new DenoiseSettings(Double.NaN, null));
  }

  /** Plucks of ten harmonics over the given noise, the first after a quarter of it. */
  private static float[] take(float[] noise) {
    float[] x = noise.clone();
    int step = Math.max(1, x.length / 4);
    for (int n = 0; n < 3; n++) {
      Noise.pluck(x, step + n * step, step / 2, 196 * Math.pow(2, n / 3.0), RATE);
    }
    return x;
  }

  private static float[] run(float[] x, double amountDb, NoiseProfile profile) {
    Clip clip = Clip.of(RATE, x);
    return Denoise.apply(clip, new DenoiseSettings(amountDb, profile)).audio().channel(0);
  }

  /** Mean square over squared mean of short-time power: how much a noise stands out in places. */
  private static double kurtosis(float[] x, int from, int to) {
    int size = 1024;
    float[] window = Windows.hann(size);
    float[] frame = new float[size];
    float[] power = new float[size / 2 + 1];
    double mean = 0;
    double square = 0;
    long n = 0;
    for (int at = from; at + size <= to; at += size / 2) {
      for (int i = 0; i < size; i++) {
        frame[i] = x[at + i] * window[i];
      }
      Fft.of(size).forward(frame);
      Fft.of(size).power(frame, power);
      for (float p : power) {
        mean += p;
        square += (double) p * p;
        n++;
      }
    }
    return square / n / Math.pow(mean / n, 2);
  }
}
