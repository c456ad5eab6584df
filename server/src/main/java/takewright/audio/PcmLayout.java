package takewright.audio;

/**
 * Where uncompressed audio lies in a file and how to read it.
 *
 * @param container name of the file format
 * @param sampleRate frames per second
 * @param channels number of channels
 * @param bitDepth bits that mean something in each sample
 * @param format how a sample is stored
 * @param start position of the first frame, in bytes
 * @param frames number of frames, all of them inside the file
 * @param chunks what stands beside the audio
 */
public record PcmLayout(
    String container,
    int sampleRate,
    int channels,
    int bitDepth,
    SampleFormat format,
    long start,
    long frames,
    WavChunks chunks) {

  /** Bytes in a frame. */
  public int frameBytes() {
    return channels * format.bytes();
  }

  static void checkRateAndChannels(FileBytes bytes, double rate, int channels)
      throws BadAudioException {
    if (channels < 1 || channels > AudioFile.MAX_CHANNELS) {
      throw bytes.bad(
          "claims " + channels + " channels",
          "export it with 1 to " + AudioFile.MAX_CHANNELS + " channels");
    }
    if (!(rate >= AudioFile.LOWEST_RATE && rate <= AudioFile.HIGHEST_RATE)) {
      throw bytes.bad(
          "claims a sample rate of "
              + (rate == Math.rint(rate) ? String.format("%.0f", rate) : rate)
              + " Hz",
          "export it at " + AudioFile.LOWEST_RATE + " to " + AudioFile.HIGHEST_RATE + " Hz");
    }
  }

  /** Refuses audio that ends before its header says. */
  static BadAudioException cutOff(FileBytes bytes, long promised, long there) {
    return bytes.bad(
        "is cut off: its header promises "
            + Long.toUnsignedString(promised)
            + " bytes of audio and "
            + there
            + " are present",
        "copy it again, or export what is left as a new file");
  }

  /**
   * The bytes of audio in a recording that was not completed or was written through a pipe, whose
   * header lacks the length: everything that follows, if it is whole frames.
   */
  static long unfinished(FileBytes bytes, long there, int frameBytes) throws BadAudioException {
    if (there % frameBytes != 0) {
      throw bytes.bad(
          "was never completed: its header holds no length, and the "
              + there
              + " bytes of audio in it are not whole frames",
          "export what is left as a new file");
    }
    return there;
  }
}
