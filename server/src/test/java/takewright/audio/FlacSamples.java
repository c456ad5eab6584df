package takewright.audio;

import java.util.Base64;

/** A FLAC file for tests that change bytes in it. */
final class FlacSamples {
  private FlacSamples() {}

  /** 480 frames of a sine of 100 Hz, mono, 16 bits, 8 kHz, as FFmpeg encodes them. */
  static byte[] small() {
    return Base64.getDecoder()
        .decode(
            "ZkxhQ4AAACICQAJAAAEFAAEFAfQA8AAAAeCVB8nq4GT+cKYGVXkJyD7V//h0CAAB35NKAFEC9gYJCPEL4Q6u"
                + "5i3FsWoU5ApwXz+hYiAwJniZZ1xVhdhNj/s2hSMIRsLRgQZVl5aZZPCaYqLFFqJJQXAmSKKIsLwsgMmQ"
                + "ggBBwlQJBA5EmyLJhGpaxMmKTC5YI0ihUJiiYlQIyRRSlCaWQaAUQ6AQE5qBAQpZEkck1FUwiMomFKET"
                + "JFEMSFokUpKSipCDCmWIWxa1ieWuoQysIMSMLFMKoksLSFqC4iklCMQpSReVIgwqYRhBiUZZC8uQwIcX"
                + "iYnFqKiRMQowXEkWJhcEMRSSWEyyHVwp4W1ieRhHghiMsjS06TlSEZUnavt+6sm8+UJnj4sKjw+DwGM7");
  }
}
