package takewright.service;

import static org.junit.jupiter.api.Assertions.assertEquals;

import com.google.protobuf.Any;
import com.google.protobuf.InvalidProtocolBufferException;
import com.google.rpc.BadRequest;
import com.google.rpc.ErrorInfo;
import io.grpc.StatusRuntimeException;
import io.grpc.protobuf.StatusProto;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import takewright.v1.AnalyseConfig;
import takewright.v1.LayerRoom;

/** What a program reads of an error: which field, and what to do. */
class DetailsTest {
  @ParameterizedTest
  @CsvSource(
      delimiter = '|',
      nullValues = "-",
      value = {
        "`config.tuning_hz` must be 392 to 466, not NaN | config.tuning_hz | must be 392 to 466",
        "`config.chain[3]`: gain must be -60 to 24 dB, not 1.0E9 | config.chain[3] |"
            + " must be -60 to 24 dB",
        "`config.format.encoding` must be INT16 or FLOAT32, and is not set |"
            + " config.format.encoding | must be INT16 or FLOAT32",
        "`config.input.file` must be an absolute path, not a.wav | config.input.file |"
            + " must be an absolute path",
        "`audio` ends inside a frame: 3 bytes are left over: send whole frames | audio |"
            + " send whole frames",
        "`output_folder`: /a: b is not a folder: name one | output_folder | name one",
        "`name`: name \"x\" does not fit; it has no note | name | -",
        "a.wav: is empty; record or copy it again | - | record or copy it again",
        "sheet_text:1: the list that begins here is not closed | - | -",
      })
  void tellWhichFieldAndWhatToDo(String line, String field, String remedy)
      throws InvalidProtocolBufferException {
    ErrorInfo info = null;
    BadRequest bad = null;
    for (Any detail :
        StatusProto.fromThrowable(Details.of(Refusal.invalid(line))).getDetailsList()) {
      info = detail.is(ErrorInfo.class) ? detail.unpack(ErrorInfo.class) : info;
      bad = detail.is(BadRequest.class) ? detail.unpack(BadRequest.class) : bad;
    }
    assertEquals("INPUT_INVALID", info.getReason());
    assertEquals(field, info.getMetadataMap().get("field"));
    assertEquals(remedy, info.getMetadataMap().get("remedy"));
    assertEquals(field, bad == null ? null : bad.getFieldViolations(0).getField());
  }

  @Test
  void aSettingOutOfRangeIsNamedByItsWholePath() {
    assertEquals(
        "`config.block_ms` must be 10 to 1000, not 3.0",
        refused(
            "config", AnalyseConfig.getDefaultInstance(), "block_ms must be 10 to 1000, not 3.0"));
    assertEquals(
        "`config.room.length_m` must be 2 to 100 m, not 1",
        refused(
            "config.room", LayerRoom.getDefaultInstance(), "length_m must be 2 to 100 m, not 1"));
    assertEquals(
        "`config`: the sound is too short",
        refused("config", AnalyseConfig.getDefaultInstance(), "the sound is too short"));
  }

  private static String refused(
      String path, com.google.protobuf.Message message, String complaint) {
    try {
      return Wire.settings(
          path,
          message,
          () -> {
            throw new IllegalArgumentException(complaint);
          });
    } catch (StatusRuntimeException e) {
      return e.getStatus().getDescription();
    }
  }
}
