package takewright.demo;

import java.util.ArrayList;
import java.util.List;
import java.util.SplittableRandom;

/** Builds one take: sounds one after another with pauses between, in a room. */
final class DemoTake {
  /** Room tone before the first sound, in seconds. */
  private static final double LEAD_S = 2.7;

  /** A pause is this long and up to {@link #PAUSE_MORE_S} longer, in seconds. */
  private static final double PAUSE_S = 1.05;

  private static final double PAUSE_MORE_S = 0.6;

  /** A sound's last part, faded so that it ends without a step, in seconds. */
  private static final double FADE_S = 0.05;

  private final String file;
  private final int sampleRate;
  private final int channels;
  private final SplittableRandom random;
  private final List<float[][]> sounds = new ArrayList<>();
  private final List<Integer> starts = new ArrayList<>();
  private final List<Truth> truths = new ArrayList<>();
  private int next;

  DemoTake(String file, int sampleRate, int channels, SplittableRandom random) {
    this.file = file;
    this.sampleRate = sampleRate;
    this.channels = channels;
    this.random = random;
    this.next = (int) (LEAD_S * sampleRate);
  }

  String file() {
    return file;
  }

  /** What is in it, in the order of the take. */
  List<Truth> truths() {
    return truths;
  }

  /**
   * Adds a sound after a pause.
   *
   * @param sound what is heard, in any unit, one array a channel, or a single one for all; given
   *     away
   * @param peakDbfs its loudest sample shall be here
   * @param what what it is; the times are filled in
   */
  void add(float[][] sound, double peakDbfs, Truth what) {
    float peak = 0;
    for (float[] channel : sound) {
      for (float sample : channel) {
        peak = Math.max(peak, Math.abs(sample));
      }
    }
    float gain = (float) (StrictMath.pow(10, peakDbfs / 20) / peak);
    float heard = (float) StrictMath.pow(10, DemoRoom.DBFS / 20);
    int fade = (int) (FADE_S * sampleRate);
    int onset = Integer.MAX_VALUE;
    int end = 0;
    for (float[] channel : sound) {
      for (int i = 0; i < channel.length; i++) {
        channel[i] *= gain * Math.min(1, (float) (channel.length - i) / fade);
        if (Math.abs(channel[i]) >= heard) {
          onset = Math.min(onset, i);
          end = Math.max(end, i + 1);
        }
      }
    }
    sounds.add(sound);
    starts.add(next);
    truths.add(what.at(file, seconds(next), seconds(next + onset), seconds(next + end)));
    next += end + (int) ((PAUSE_S + PAUSE_MORE_S * random.nextDouble()) * sampleRate);
  }

  /** Notes that the sheet asks for a sound that was forgotten. */
  void forget(Truth what) {
    truths.add(what.at(file, Double.NaN, Double.NaN, Double.NaN));
  }

  /** The whole take with its room tone, one array a channel. */
  float[][] render() {
    float[][] out = new float[channels][next];
    for (int s = 0; s < sounds.size(); s++) {
      float[][] sound = sounds.get(s);
      int start = starts.get(s);
      for (int c = 0; c < channels; c++) {
        float[] from = sound[Math.min(c, sound.length - 1)];
        for (int i = 0; i < from.length && start + i < next; i++) {
          out[c][start + i] += from[i];
        }
      }
    }
    DemoRoom.add(out, sampleRate, random.split());
    return out;
  }

  private double seconds(int frame) {
    return (double) frame / sampleRate;
  }
}
