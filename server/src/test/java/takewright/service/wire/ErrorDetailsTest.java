package takewright.service.wire;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertNotEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import com.google.protobuf.Any;
import com.google.protobuf.InvalidProtocolBufferException;
import com.google.protobuf.Message;
import com.google.rpc.BadRequest;
import com.google.rpc.ErrorInfo;
import com.google.rpc.RetryInfo;
import io.grpc.Metadata;
import io.grpc.Status;
import io.grpc.StatusRuntimeException;
import io.grpc.protobuf.StatusProto;
import java.util.Set;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.EnumSource;
import takewright.analyse.BlockSettings;
import takewright.diagnosis.Problem;
import takewright.diagnosis.ProblemException;
import takewright.diagnosis.Reason;

/** What a program reads of an error: which field, and what to do. */
class ErrorDetailsTest {
  private static <T extends Message> T detail(StatusRuntimeException failure, Class<T> type)
      throws InvalidProtocolBufferException {
    for (Any detail : StatusProto.fromThrowable(failure).getDetailsList()) {
      if (detail.is(type)) {
        return detail.unpack(type);
      }
    }
    return null;
  }

  /** Statuses and details as the public Google API guidelines (AIP-193) want them. */
  @ParameterizedTest
  @EnumSource
  void everyReasonTellsItsRemedyAndItsPlace(Reason reason) throws InvalidProtocolBufferException {
    Problem problem =
        new Problem(reason, "", "cannot be used", "choose another").at("sheet.yaml", 7);
    StatusRuntimeException failure =
        ErrorDetails.of(Failures.of(new ProblemException(problem.of("sheet_file"))));
    ErrorInfo info = detail(failure, ErrorInfo.class);
    assertEquals(reason.name(), info.getReason());
    assertEquals("takewright", info.getDomain());
    assertEquals("choose another", info.getMetadataOrThrow("remedy"));
    assertEquals("cannot be used", info.getMetadataOrThrow("what"));
    assertEquals("sheet_file", info.getMetadataOrThrow("field"));
    assertEquals("sheet.yaml", info.getMetadataOrThrow("file"));
    assertEquals("7", info.getMetadataOrThrow("line"));
    String line = failure.getStatus().getDescription();
    assertEquals("`sheet_file`: sheet.yaml:7: cannot be used; choose another", line);
    Status.Code code = failure.getStatus().getCode();
    assertNotEquals(Status.Code.UNKNOWN, code);
    BadRequest bad = detail(failure, BadRequest.class);
    assertEquals(code == Status.Code.INVALID_ARGUMENT, bad != null);
    if (bad != null) {
      assertEquals("sheet_file", bad.getFieldViolations(0).getField());
      assertEquals(line, bad.getFieldViolations(0).getDescription());
    }
    RetryInfo retry = detail(failure, RetryInfo.class);
    boolean passes = Set.of(Reason.OVERLOADED, Reason.MEMORY_FULL).contains(reason);
    assertEquals(passes, retry != null);
    String pushback =
        failure
            .getTrailers()
            .get(Metadata.Key.of("grpc-retry-pushback-ms", Metadata.ASCII_STRING_MARSHALLER));
    boolean isExhausted = code == Status.Code.RESOURCE_EXHAUSTED;
    assertEquals(passes ? "1000" : isExhausted ? "-1" : null, pushback, "gRPC's own retries");
  }

  @Test
  void aSettingOutOfRangeIsNamedByItsWholePath() {
    ProblemException refused =
        assertThrows(
            ProblemException.class, () -> Wire.settings(() -> new BlockSettings(3, false, 440)));
    assertEquals("config.block_ms", refused.problem().field());
    assertTrue(refused.problem().what().startsWith("is "), refused.getMessage());
    assertTrue(refused.problem().remedy().startsWith("give a number from "), refused.getMessage());
  }
}
