package takewright.analyse;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertNotNull;
import static org.junit.jupiter.api.Assertions.assertNull;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.util.ArrayList;
import java.util.List;
import java.util.SplittableRandom;
import net.jqwik.api.ForAll;
import net.jqwik.api.Property;
import net.jqwik.api.constraints.DoubleRange;
import net.jqwik.api.constraints.IntRange;
import org.junit.jupiter.api.Test;
import takewright.audio.AudioSource;
import takewright.audio.Clip;
import takewright.testing.Recordings;

class BlocksTest {
  private static final int RATE = 44_100;

  /** Hands a clip out in pieces of random lengths, none among them. */
  private static final class Pieces implements AudioSource {
    private final Clip clip;
    private final SplittableRandom random;
    private final boolean lengthKnown;
    private int at;

    Pieces(Clip clip, long seed, boolean lengthKnown) {
      this.clip = clip;
      this.random = new SplittableRandom(seed);
      this.lengthKnown = lengthKnown;
    }

    @Override
    public int sampleRate() {
      return clip.sampleRate();
    }

    @Override
    public int channels() {
      return clip.channels();
    }

    @Override
    public long frames() {
      return lengthKnown ? clip.frames() : UNKNOWN;
    }

    @Override
    public int read(float[][] planar, int offset, int count) {
      if (at == clip.frames()) {
        return -1;
      }
      int n = Math.min(Math.min(count, clip.frames() - at), random.nextInt(3000));
      for (int c = 0; c < clip.channels(); c++) {
        System.arraycopy(clip.channel(c), at, planar[c], offset, n);
      }
      at += n;
      return n;
    }

    @Override
    public void close() {}
  }

  private static List<BlockFacts> blocks(AudioSource source, BlockSettings settings)
      throws IOException {
    List<BlockFacts> blocks = new ArrayList<>();
    AudioSource passing = Blocks.of(source, settings, blocks::add);
    float[][] into = new float[source.channels()][5000];
    // As a clip is read: no further than to its length where that is known.
    long read = 0;
    for (int n = 0; n >= 0 && read != source.frames(); n = passing.read(into, 0, 5000)) {
      read += n;
    }
    return blocks;
  }

  private static Clip noisyTones(int frames, long seed) {
    SplittableRandom random = new SplittableRandom(seed);
    float[][] x = new float[2][frames];
    for (int c = 0; c < 2; c++) {
      double hz = 80 + 600 * random.nextDouble();
      for (int i = 0; i < frames; i++) {
        double tone = Math.sin(2 * Math.PI * hz * i / RATE);
        x[c][i] = (float) (0.2 * tone + 0.05 * (random.nextDouble() - 0.5));
      }
    }
    return Clip.of(RATE, x);
  }

  @Property(tries = 25)
  void blocksAreTheSameInWhateverPiecesTheAudioComes(
      @ForAll @IntRange(min = 0, max = 60_000) int frames,
      @ForAll @DoubleRange(min = 10, max = 400) double blockMs,
      @ForAll long seed)
      throws IOException {
    Clip clip = noisyTones(frames, seed);
    BlockSettings settings = new BlockSettings(blockMs, false, 440);
    List<BlockFacts> some = blocks(new Pieces(clip, seed, true), settings);
    assertEquals(some, blocks(new Pieces(clip, ~seed, false), settings));
    long at = 0;
    for (BlockFacts block : some) {
      assertEquals(at, block.startFrame());
      at = block.endFrame();
      boolean last = block == some.get(some.size() - 1);
      double length = blockMs / 1000 * RATE;
      assertTrue(last || Math.abs(at - block.startFrame() - length) < 1, "length");
    }
    assertEquals(frames, at);
  }

  /**
   * What is told while a sound arrives agrees with what is measured of it as a whole: the loudest
   * momentary and short-term loudness of EBU Tech 3341, and the sum of the squares.
   */
  @Test
  void blocksAgreeWithTheWhole() throws IOException {
    Clip clip =
        Signals.stereo(
            RATE, Signals.step(2, -30), Signals.step(1.7, -20), Signals.step(3.3, -26.5));
    double momentary = Double.NEGATIVE_INFINITY;
    double shortTerm = Double.NEGATIVE_INFINITY;
    double peak = Double.NEGATIVE_INFINITY;
    double squares = 0;
    for (BlockFacts block : blocks(new Pieces(clip, 1, true), new BlockSettings(10, true, 440))) {
      assertNull(block.pitch());
      assertEquals(block.endFrame() < 0.4 * RATE, Double.isNaN(block.momentaryLufs()));
      assertEquals(block.endFrame() < 3 * RATE, Double.isNaN(block.shortTermLufs()));
      momentary =
          Double.isNaN(block.momentaryLufs())
              ? momentary
              : Math.max(momentary, block.momentaryLufs());
      shortTerm =
          Double.isNaN(block.shortTermLufs())
              ? shortTerm
              : Math.max(shortTerm, block.shortTermLufs());
      peak = Math.max(peak, block.peakDbfs());
      squares += Math.pow(10, block.rmsDbfs() / 10) * (block.endFrame() - block.startFrame());
    }
    MeasuredLevels levels = MeasuredLevels.measure(clip);
    assertEquals(levels.momentaryMaxLufs(), momentary, 1e-9);
    assertEquals(levels.shortTermMaxLufs(), shortTerm, 1e-9);
    assertEquals(-20, peak, 0.02);
    // A sine of -20 dBFS at its peak has -23.01 dBFS; the three stretches by their lengths.
    double expected =
        (2 * Math.pow(10, -3.301) + 1.7 * Math.pow(10, -2.301) + 3.3 * Math.pow(10, -2.951)) / 7;
    assertEquals(10 * Math.log10(expected), 10 * Math.log10(squares / clip.frames()), 0.01);
  }

  /** A scale, each note for a second: every block that lies within one has its pitch. */
  @Test
  void thePitchOfEachMomentIsHeard() throws IOException {
    int[] scale = {28, 40, 52, 57, 64, 69, 76, 81, 88, 93, 100};
    float[] x = new float[scale.length * RATE];
    for (int i = 0; i < x.length; i++) {
      double hz = 440 * Math.pow(2, (scale[i / RATE] - 69) / 12.0);
      for (int partial = 1; partial <= 4; partial++) {
        x[i] += (float) (0.1 / partial * Math.sin(2 * Math.PI * partial * hz * i / RATE));
      }
    }
    int heard = 0;
    for (BlockFacts block :
        blocks(new Pieces(Clip.of(RATE, x), 2, true), new BlockSettings(50, false, 440))) {
      int second = (int) (block.endFrame() - 1) / RATE;
      if (block.endFrame() - second * RATE > 0.12 * RATE) {
        assertNotNull(block.pitch(), "at " + block.endFrame());
        assertEquals(scale[second], block.pitch().midi());
        assertEquals(0, block.pitch().cents(), 12, "cents of " + scale[second]);
        heard++;
      }
    }
    assertEquals(scale.length * 18, heard, scale.length);
  }

  /**
   * In noise as loud as the note and louder, as many blocks are right as they say; none in noise.
   */
  @Test
  void aPitchOfTheMomentIsAsSureAsItIsOftenRight() throws IOException {
    SplittableRandom random = new SplittableRandom(21);
    int heard = 0;
    int right = 0;
    double sure = 0;
    for (String instrument : List.of("violin", "contrabass", "saxophone")) {
      List<Recordings.Note> notes = Recordings.of(instrument);
      // Other recordings than those that the confidence was read from.
      for (int i = 1; i < notes.size(); i += 2) {
        float[] x = notes.get(i).read(2).mono().clone();
        int rate = notes.get(i).read(0.1).sampleRate();
        float[] noise = i % 4 == 1 ? room(x.length, random) : white(x.length, random);
        double gain = power(x) / power(noise) * Math.pow(10, (random.nextInt(19) - 6) / 10.0);
        for (int k = 0; k < x.length; k++) {
          noise[k] *= (float) Math.sqrt(gain);
          x[k] += noise[k];
        }
        BlockSettings settings = new BlockSettings(100, false, 440);
        for (BlockFacts block : blocks(new Pieces(Clip.of(rate, x), i, true), settings)) {
          if (block.pitch() != null) {
            heard++;
            sure += block.pitch().confidence();
            double off = 100 * (block.pitch().midi() - notes.get(i).midi()) + block.pitch().cents();
            right += Math.abs(off) < 60 ? 1 : 0;
          }
        }
        for (BlockFacts block : blocks(new Pieces(Clip.of(rate, noise), i, true), settings)) {
          assertNull(block.pitch());
        }
      }
    }
    assertTrue(heard > 150, heard + " heard");
    assertEquals(right, sure, 0.05 * heard);
  }

  private static double power(float[] x) {
    double sum = 0;
    for (float v : x) {
      sum += (double) v * v;
    }
    return sum / x.length;
  }

  private static float[] white(int length, SplittableRandom random) {
    float[] x = new float[length];
    for (int i = 0; i < length; i++) {
      x[i] = (float) (random.nextDouble() - 0.5);
    }
    return x;
  }

  /** Falls with frequency, with some hiss. */
  private static float[] room(int length, SplittableRandom random) {
    float[] x = white(length, random);
    double low = 0;
    for (int i = 0; i < length; i++) {
      low += 0.02 * (x[i] - low);
      x[i] = (float) (6 * low + 0.35 * x[i]);
    }
    return x;
  }

  @Test
  void silenceHasNoLevelAndNoPitch() throws IOException {
    Clip silence = Clip.of(RATE, new float[RATE]);
    for (BlockFacts block :
        blocks(new Pieces(silence, 3, true), new BlockSettings(100, false, 440))) {
      assertEquals(-200, block.rmsDbfs());
      assertEquals(-200, block.peakDbfs());
      assertTrue(Double.isNaN(block.momentaryLufs()));
      assertNull(block.pitch());
    }
  }

  @Test
  void theAudioPassesUnchanged() throws IOException {
    Clip clip = noisyTones(20_000, 4);
    AudioSource passing =
        Blocks.of(new Pieces(clip, 4, true), new BlockSettings(10, false, 440), block -> {});
    assertArrayEquals(clip.channel(1), Clip.read(passing, 20_000).channel(1));
  }

  @Test
  void settingsOutOfRangeAreRefused() {
    assertThrows(IllegalArgumentException.class, () -> new BlockSettings(9.9, false, 440));
    assertThrows(IllegalArgumentException.class, () -> new BlockSettings(1001, false, 440));
    assertThrows(IllegalArgumentException.class, () -> new BlockSettings(Double.NaN, false, 440));
    assertThrows(IllegalArgumentException.class, () -> new BlockSettings(100, false, 500));
  }
}
