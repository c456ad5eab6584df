package takewright.layer;

import java.util.SplittableRandom;
import takewright.audio.Clip;
import takewright.dsp.Biquad;

/**
 * Impulse responses of computed rooms: the first reflections by the image-source method (J. B.
 * Allen and D. A. Berkley, "Image method for efficiently simulating small-room acoustics", J.
 * Acoust. Soc. Am. 65, 1979), with images between the samples placed as P. M. Peterson does (J.
 * Acoust. Soc. Am. 80, 1986), then a diffuse tail that dies away as Eyring's formula says.
 *
 * <p>Images alone would go on for longer than any formula in rooms that are much longer than high,
 * and chirp; noise alone has no early reflections. Noise takes over where reflections can no longer
 * be told apart, at the level that images would have there on average.
 */
public final class ComputedRoom {
  /**
   * When noise takes over, in seconds for a room of 1 cubic metre; it grows with the root of the
   * volume (J.-D. Polack's mixing time is 1 ms; twice that is safe).
   */
  private static final double MIXING_S = 0.002;

  /** The latest, as a share of the decay, so that what is measured of it is Eyring's. */
  private static final double LATEST_SHARE = 0.12;

  /** Length as a multiple of the decay: down by 90 dB. */
  private static final double LENGTH = 1.5;

  /** Half the width of an image between the samples, in frames. */
  private static final int HALF_WIDTH = 20;

  /**
   * Images of one sign add up at 0 Hz; Allen and Berkley take that out at a hundredth of their
   * sample rate, this in hertz.
   */
  private static final double HIGH_PASS_HZ = 40;

  private ComputedRoom() {}

  /**
   * The response of a room: a player to two microphones, or two to two, or a player to one.
   *
   * @param sampleRate in hertz, 8000 to 192000
   * @param channels of the samples that are heard in it. One: the response has two channels; two:
   *     four, as {@link RoomSettings} orders them; more: one, for all of them
   */
  public static Clip impulse(RoomShape room, int sampleRate, int channels) {
    double decay = room.decayS();
    int frames = (int) Math.ceil((LENGTH * decay + 0.1) * sampleRate);
    float[][] response = new float[channels == 1 ? 2 : channels == 2 ? 4 : 1][];
    for (int c = 0; c < response.length; c++) {
      double[] player = player(room, channels == 2 ? c / 2 : -1);
      double[] microphone = microphone(room, c % 2);
      response[c] = path(room, sampleRate, frames, player, microphone, new SplittableRandom(c + 1));
    }
    return Clip.of(sampleRate, response);
  }

  /** Where the left, right or (-1) only player stands, off every axis of the room. */
  private static double[] player(RoomShape room, int which) {
    double aside = which < 0 ? 0 : which == 0 ? -0.12 : 0.12;
    return new double[] {
      0.31 * room.lengthM(), (0.47 + aside) * room.widthM(), Math.min(1.3, 0.43 * room.heightM())
    };
  }

  /** Two microphones, half a metre apart. */
  private static double[] microphone(RoomShape room, int which) {
    return new double[] {
      0.68 * room.lengthM(),
      0.53 * room.widthM() + (which == 0 ? -0.25 : 0.25),
      Math.min(2.4, 0.61 * room.heightM())
    };
  }

  private static float[] path(
      RoomShape room,
      int rate,
      int frames,
      double[] player,
      double[] microphone,
      SplittableRandom random) {
    double[] size = {room.lengthM(), room.widthM(), room.heightM()};
    double direct = distance(player, microphone) / RoomShape.SOUND_M_S;
    double mixing =
        direct + Math.min(MIXING_S * Math.sqrt(room.volume()), LATEST_SHARE * room.decayS());
    double begin = (direct + mixing) / 2;
    double[] sum = new double[frames + HALF_WIDTH + 1];
    images(sum, size, room.absorption(), rate, player, microphone, mixing);
    Biquad highPass = Biquad.highPass(rate, HIGH_PASS_HZ, Math.sqrt(0.5));
    float[] response = new float[frames];
    // Images come (ct)^2 4 pi c / V a second, each with the power 1 / (ct)^2 of its distance and
    // what the walls have left of it.
    double power = 4 * Math.PI * RoomShape.SOUND_M_S / room.volume() / rate;
    for (int i = 0; i < frames; i++) {
      double t = (double) i / rate;
      double over = Math.max(0, Math.min(1, (t - begin) / (mixing - begin)));
      // The sum of three has a standard deviation of one half.
      double noise = 2 * (random.nextDouble() + random.nextDouble() + random.nextDouble() - 1.5);
      double level = Math.sqrt(power * Math.pow(10, -6 * t / room.decayS()));
      // Powers add up to one.
      double early = highPass.process(sum[i]) * Math.cos(Math.PI / 2 * over);
      response[i] = (float) (early + level * noise * Math.sin(Math.PI / 2 * over));
    }
    return response;
  }

  /** Adds all images that arrive before {@code until}, in seconds, at amplitude 1 / metres. */
  private static void images(
      double[] sum,
      double[] size,
      double absorption,
      int rate,
      double[] player,
      double[] microphone,
      double until) {
    double reach = until * RoomShape.SOUND_M_S;
    double reflection = Math.sqrt(1 - absorption);
    int[] max = new int[3];
    for (int axis = 0; axis < 3; axis++) {
      max[axis] = (int) Math.ceil(reach / (2 * size[axis])) + 1;
    }
    for (int x = -max[0]; x <= max[0]; x++) {
      for (int y = -max[1]; y <= max[1]; y++) {
        for (int z = -max[2]; z <= max[2]; z++) {
          for (int mirrored = 0; mirrored < 8; mirrored++) {
            image(
                sum,
                new int[] {x, y, z},
                mirrored,
                size,
                reflection,
                rate,
                player,
                microphone,
                reach);
          }
        }
      }
    }
  }

  private static void image(
      double[] sum,
      int[] cell,
      int mirrored,
      double[] size,
      double reflection,
      int rate,
      double[] player,
      double[] microphone,
      double reach) {
    double square = 0;
    int bounces = 0;
    for (int axis = 0; axis < 3; axis++) {
      int q = mirrored >> axis & 1;
      double at = (1 - 2 * q) * player[axis] + 2 * cell[axis] * size[axis];
      double away = at - microphone[axis];
      square += away * away;
      // Allen and Berkley's equation 10: |n - q| times one wall, |n| times the other.
      bounces += Math.abs(cell[axis] - q) + Math.abs(cell[axis]);
    }
    double distance = Math.sqrt(square);
    if (distance > reach) {
      return;
    }
    double amplitude = Math.pow(reflection, bounces) / distance;
    double at = distance / RoomShape.SOUND_M_S * rate;
    int middle = (int) Math.round(at);
    int first = Math.max(0, middle - HALF_WIDTH);
    int last = Math.min(sum.length - 1, middle + HALF_WIDTH);
    for (int i = first; i <= last; i++) {
      double t = i - at;
      double sinc = Math.abs(t) < 1e-9 ? 1 : Math.sin(Math.PI * t) / (Math.PI * t);
      double window = 0.5 + 0.5 * Math.cos(Math.PI * t / (HALF_WIDTH + 1));
      sum[i] += amplitude * sinc * window;
    }
  }

  private static double distance(double[] a, double[] b) {
    return Math.sqrt(
        (a[0] - b[0]) * (a[0] - b[0])
            + (a[1] - b[1]) * (a[1] - b[1])
            + (a[2] - b[2]) * (a[2] - b[2]));
  }
}
